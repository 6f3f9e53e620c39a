package charts

import (
	"errors"
	"fmt"
	"strings"

	"github.com/go-echarts/go-echarts/v2/opts"
)

// Cumulative draws sums that only grow, as steps unless they are steady: a sum stays as it is until the next picking.
type Cumulative struct {
	// Title and Unit head the value axis: "Picked so far", "g".
	Title string
	Unit  string
	// Groups are the lines that are compared, such as cultivars.
	Groups []YieldLine
	// Plants, if any, are drawn thin behind the groups, in the dash and colour of the group that Group names by position.
	Plants []PlantLine
	// Steady sums grow between their points too, and are drawn as straight pieces.
	Steady bool
	// Dates widens the time axis, so that charts under each other share theirs.
	Dates Dates
	// Basis says what the chart rests on: "marketable fruit; 8 plants, 41 pickings".
	Basis string
}

// YieldLine is one cumulative line; its points are in order of time and give the sum from then on.
type YieldLine struct {
	Name   string
	Points []Point
}

// PlantLine is the line of one plant within a group.
type PlantLine struct {
	YieldLine
	Group int
}

func (f Cumulative) check() error {
	if f.Title == "" {
		return errors.New("the value axis has no title")
	}
	drawn := 0
	for _, g := range f.Groups {
		if err := checkSum(fmt.Sprintf("group %q", g.Name), g.Points); err != nil {
			return err
		}
		drawn += len(g.Points)
	}
	for _, pl := range f.Plants {
		if pl.Group < 0 || pl.Group >= len(f.Groups) {
			return fmt.Errorf("plant %q is of group %d; there are %d groups", pl.Name, pl.Group, len(f.Groups))
		}
		if err := checkSum(fmt.Sprintf("plant %q", pl.Name), pl.Points); err != nil {
			return err
		}
		drawn += len(pl.Points)
	}
	if drawn == 0 {
		return errors.New("nothing to draw")
	}
	return nil
}

func checkSum(what string, points []Point) error {
	if err := checkPoints(what, points); err != nil {
		return err
	}
	for i := 1; i < len(points); i++ {
		if points[i].Value < points[i-1].Value {
			return fmt.Errorf("%s, point %d: a sum of pickings can't fall from %v to %v", what, i+1, points[i-1].Value, points[i].Value)
		}
	}
	return nil
}

func (f Cumulative) draw() (drawing, error) {
	if err := f.check(); err != nil {
		return drawing{}, fmt.Errorf("cumulative yield: %w", err)
	}
	p := newPlot(titled(f.Title, f.Unit))
	d := drawing{height: 380, basis: f.Basis}
	var step any = "end"
	if f.Steady {
		step = false
	} else {
		d.caption = "A line stays level until the next picking."
	}
	var when span
	f.Dates.within(&when)
	for _, pl := range f.Plants {
		l := seriesLook(pl.Group)
		style := l.lineStyle(1)
		style["opacity"] = 0.55
		p.line(pl.Name, f.points(pl.YieldLine, &when), map[string]any{
			"step": step, "showSymbol": false, "silent": true, "z": 2, "lineStyle": style, "emphasis": map[string]any{"disabled": true},
			"itemStyle": map[string]any{"color": "$c:" + l.colour}, "tooltip": map[string]any{"show": false},
		})
	}
	for i, g := range f.Groups {
		l := seriesLook(i)
		p.line(g.Name, f.points(g, &when), map[string]any{
			"step": step, "symbol": symbolOption(l.symbol), "symbolSize": 8, "showSymbol": true, "showAllSymbol": true, "z": 3,
			"lineStyle": l.lineStyle(2.5), "itemStyle": map[string]any{"color": "$c:" + l.colour}, "emphasis": map[string]any{"disabled": true},
			"endLabel": endLabel(true),
		})
		d.key = append(d.key, keyEntry{Label: g.Name, Kind: "line", Colour: l.colour, Dash: l.dash, Symbol: l.symbol})
	}
	if len(f.Plants) > 0 {
		d.key = append(d.key, keyEntry{Label: "single plants, in the line of their group", Kind: "thin", Colour: colourInk})
	}
	p.whole["grid"] = map[string]any{"left": leftRoom, "right": rightRoom(true), "top": 36, "bottom": 56}
	d.when = when
	p.whole["xAxis"], p.whole["yAxis"] = timeAxis(when, 0, true), valueAxis(f.Unit)
	p.whole["tooltip"] = map[string]any{"trigger": "axis", "formatter": "$fn:tipAxis"}
	var err error
	d.option, err = p.option()
	return d, err
}

func (f Cumulative) points(line YieldLine, when *span) []opts.LineData {
	data := make([]opts.LineData, len(line.Points))
	for i, pt := range line.Points {
		when.add(pt.At)
		tip := strings.Join([]string{momentText(pt.At), clean(line.Name) + ": " + amountText(pt.Value, f.Unit)}, tipBreak)
		data[i] = opts.LineData{Name: tip, Value: []any{wallMillis(pt.At), pt.Value}}
	}
	return data
}
