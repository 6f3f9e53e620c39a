package charts

import (
	"errors"
	"fmt"
	"strings"

	"github.com/go-echarts/go-echarts/v2/opts"
)

// Ranges draws lying intervals, one row for each plant, stage or week, with up to two signs on each: what is expected, and what it is
// held against. Panels stand under each other, each with an axis of its own. Of many rows the chart shows the first, and says how many it
// leaves out.
type Ranges struct {
	Panels []RangePanel
	// Interval, Value and Mark name the bars and the two signs: "90 % interval", "expected", "published".
	Interval, Value, Mark string
	// Basis says what the chart rests on.
	Basis string
}

// RangePanel is rows that share an axis.
type RangePanel struct {
	// Title and Unit head its axis: "turning to red", "standard days".
	Title, Unit string
	Rows        []RangeRow
}

// RangeRow is one interval; Mark is nil where there is nothing to hold it against.
type RangeRow struct {
	Name             string
	Low, Value, High float64
	Mark             *float64
}

func (f Ranges) check() error {
	rows := 0
	for _, panel := range f.Panels {
		if panel.Title == "" {
			return errors.New("an axis has no title")
		}
		for _, r := range panel.Rows {
			name := fmt.Sprintf("row %q", r.Name)
			if err := checkFinite(name, r.Low, r.Value, r.High); err != nil {
				return err
			}
			if r.Low > r.High || r.Low < 0 {
				return fmt.Errorf("%s: from %v to %v is no interval of an amount", name, r.Low, r.High)
			}
			if r.Mark != nil && (notFinite(*r.Mark) || *r.Mark < 0) {
				return fmt.Errorf("%s: %v is no amount", name, *r.Mark)
			}
		}
		rows += len(panel.Rows)
	}
	if rows == 0 {
		return errors.New("nothing to draw")
	}
	return nil
}

// The room of a panel's row, and of what stands under its rows.
const (
	rangeRow  = 26
	rangeFoot = 62
	// mostRanges is how many rows a chart has at most, so that it fits on a sheet; fewestRanges how many a panel may always have.
	mostRanges   = 30
	fewestRanges = 4
)

func (f Ranges) draw() (drawing, error) {
	if err := f.check(); err != nil {
		return drawing{}, fmt.Errorf("intervals: %w", err)
	}
	limit := max(fewestRanges, mostRanges/len(f.Panels))
	p := newPlot("")
	d := drawing{basis: f.Basis, height: 8, rigid: true}
	var grids, xs, ys []any
	marked := false
	for i, panel := range f.Panels {
		rows := panel.Rows[:min(limit, len(panel.Rows))]
		if len(rows) < len(panel.Rows) {
			d.notes = append(d.notes, fmt.Sprintf("The chart shows the first %d of %d rows; the table has them all.", len(rows), len(panel.Rows)))
		}
		d.height += len(rows)*rangeRow + rangeFoot
		marked = f.drawPanel(p, i, panel.Unit, rows) || marked
		x := valueAxis(panel.Unit)
		x["gridIndex"], x["name"], x["nameLocation"], x["nameGap"], x["max"] = i, titled(panel.Title, panel.Unit), "middle", 28, f.top(rows)
		names := make([]any, len(rows))
		for r := range rows {
			names[r] = rows[r].Name
		}
		xs = append(xs, x)
		ys = append(ys, map[string]any{
			"type": "category", "data": names, "inverse": true, "gridIndex": i, "axisTick": map[string]any{"show": false},
			"axisLabel": map[string]any{"interval": 0, "width": 118, "overflow": "truncate"}, "splitLine": map[string]any{"show": false},
		})
	}
	under := d.height - 8
	for _, panel := range f.Panels {
		tall := min(limit, len(panel.Rows)) * rangeRow
		under -= tall + rangeFoot
		grids = append(grids, map[string]any{"left": 130, "right": 20, "height": tall, "bottom": under + rangeFoot - 8})
	}
	p.whole["grid"], p.whole["xAxis"], p.whole["yAxis"] = grids, xs, ys
	p.whole["tooltip"] = map[string]any{"trigger": "item", "formatter": "$fn:tip"}
	d.key = append(d.key, keyEntry{Label: f.Interval, Kind: "life", Colour: rangeColour}, keyEntry{Label: f.Value, Kind: "point", Colour: rangeColour, Symbol: symbols[0]})
	if marked {
		d.key = append(d.key, keyEntry{Label: f.Mark, Kind: "point", Colour: colourInk, Symbol: symbols[3]})
	}
	var err error
	d.option, err = p.option()
	return d, err
}

const rangeColour = "series-2"

func (f Ranges) top(rows []RangeRow) float64 {
	most := 0.0
	for _, r := range rows {
		most = max(most, r.High, r.Value)
		if r.Mark != nil {
			most = max(most, *r.Mark)
		}
	}
	return stepUp(most)
}

func (f Ranges) drawPanel(p *plot, panel int, unit string, rows []RangeRow) (marked bool) {
	var bars []opts.CustomData
	var values, marks []opts.ScatterData
	for i, r := range rows {
		told := []string{clean(r.Name), clean(f.Value) + ": " + amountText(drawn(r.Value), unit), clean(f.Interval) + ": " + numberText(drawn(r.Low)) + " to " + numberText(drawn(r.High))}
		if r.Mark != nil {
			told = append(told, clean(f.Mark)+": "+amountText(drawn(*r.Mark), unit))
		}
		tip := strings.Join(told, tipBreak)
		bars = append(bars, opts.CustomData{Value: []any{drawn(r.Low), drawn(r.High), i}})
		values = append(values, opts.ScatterData{Name: tip, Value: []any{drawn(r.Value), i}})
		if r.Mark != nil {
			marks = append(marks, opts.ScatterData{Name: tip, Value: []any{drawn(*r.Mark), i}})
		}
	}
	on := func(patch map[string]any) map[string]any {
		patch["xAxisIndex"], patch["yAxisIndex"] = panel, panel
		return patch
	}
	bar := lyingPatch(rangeColour, 2)
	p.custom(f.Interval, "lying", bars, on(bar))
	sign := func(symbol, colour string, z int) map[string]any {
		return on(map[string]any{
			"symbol": symbolOption(symbol), "symbolSize": 10, "z": z, "emphasis": map[string]any{"disabled": true},
			"itemStyle": map[string]any{"color": "$c:" + colour, "borderColor": "$c:paper", "borderWidth": 1, "opacity": 1},
		})
	}
	p.scatter(f.Value, values, sign(symbols[0], rangeColour, 4))
	if len(marks) > 0 {
		p.scatter(f.Mark, marks, sign(symbols[3], colourInk, 5))
	}
	return len(marks) > 0
}
