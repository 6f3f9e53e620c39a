package charts

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/go-echarts/go-echarts/v2/opts"
)

// StageAreas draws the standing fruit by ripeness stage as stacked areas over calendar time, with pickings and losses as
// marks on a strip below.
//
// The ripest stage lies at the bottom, so that the fruit that matters now is read against the axis, and a stage that is
// often not counted (green) lies on top where its gap disturbs nothing. Where a stage was not counted its area has a
// gap, and so have the stages that lie upon it: their height would not be known.
type StageAreas struct {
	// Stages from least ripe to ripest. Exactly one is the ripe stage.
	Stages []Stage
	// Visits in order of time.
	Visits []StageVisit
	Marks  []Mark
	// Dates widens the time axis, so that charts under each other share theirs.
	Dates Dates
	// Basis says what the chart rests on: "8 plants, 27 visits".
	Basis string
}

// Stage is one stage of the ripeness scale.
type Stage struct {
	Name string
	Ripe bool
}

// StageVisit is the standing fruit at one time.
type StageVisit struct {
	At time.Time
	// Standing fruit by stage, in the order of StageAreas.Stages; nil where it was not counted.
	Standing []*float64
	// AtLeast marks, by stage, numbers that are lower bounds: of a count given up, or of a part. Nil marks none.
	AtLeast []bool
	// Note is added to what the chart tells about this visit.
	Note string
}

// MarkKind tells pickings, losses and counts apart.
type MarkKind int

// The kinds of marks.
const (
	Picked MarkKind = iota
	Lost
	Counted
)

// Mark is fruit that left the plant at a time, or a count.
type Mark struct {
	At   time.Time
	Kind MarkKind
	// Fruits is the number; nil if it was not counted (a mass alone), and for a count.
	Fruits *float64
	// Detail says more: "red 4, breaker 1; 212 g".
	Detail string
}

func (f StageAreas) check() (ripe int, err error) {
	if len(f.Stages) == 0 {
		return 0, errors.New("no stages")
	}
	if len(f.Visits) == 0 {
		return 0, errors.New("no visits")
	}
	ripe = slices.IndexFunc(f.Stages, func(s Stage) bool { return s.Ripe })
	if ripe < 0 {
		return 0, errors.New("no stage is the ripe one")
	}
	for i, v := range f.Visits {
		name := fmt.Sprintf("visit %d", i+1)
		if err := checkTime(name, v.At); err != nil {
			return 0, err
		}
		if len(v.Standing) != len(f.Stages) {
			return 0, fmt.Errorf("%s has %d numbers for %d stages", name, len(v.Standing), len(f.Stages))
		}
		if i > 0 && wallMillis(v.At) < wallMillis(f.Visits[i-1].At) {
			return 0, fmt.Errorf("%s is earlier than the visit before it", name)
		}
		if v.AtLeast != nil && len(v.AtLeast) != len(f.Stages) {
			return 0, fmt.Errorf("%s says of %d of %d stages whether they are lower bounds", name, len(v.AtLeast), len(f.Stages))
		}
		for s, n := range v.Standing {
			if n != nil && (notFinite(*n) || *n < 0) {
				return 0, fmt.Errorf("%s, %s: %v is not a number of fruit", name, f.Stages[s].Name, *n)
			}
		}
	}
	for i, m := range f.Marks {
		name := fmt.Sprintf("mark %d", i+1)
		if err := checkTime(name, m.At); err != nil {
			return 0, err
		}
		if m.Fruits != nil && (notFinite(*m.Fruits) || *m.Fruits < 0) {
			return 0, fmt.Errorf("%s: %v is not a number of fruit", name, *m.Fruits)
		}
	}
	return ripe, nil
}

func (f StageAreas) draw() (drawing, error) {
	ripe, err := f.check()
	if err != nil {
		return drawing{}, fmt.Errorf("standing fruit by stage: %w", err)
	}
	p := newPlot(titled("Standing at the end of each day", unitFruit))
	d := drawing{
		height:  460,
		basis:   f.Basis,
		caption: "Areas are stacked, the ripest stage at the bottom. A gap means that a stage there, or one below it, isn't known.",
	}
	var when span
	f.Dates.within(&when)
	tips := make([]string, len(f.Visits))
	for i, v := range f.Visits {
		when.add(v.At)
		tips[i] = f.tip(v)
	}
	atLeast := false
	known := make([]bool, len(f.Visits)) // whether every stage below is known
	for i := range known {
		known[i] = true
	}
	for s := len(f.Stages) - 1; s >= 0; s-- {
		l := stageLook(s, ripe)
		data := make([]opts.LineData, len(f.Visits))
		for i, v := range f.Visits {
			known[i] = known[i] && v.Standing[s] != nil
			data[i] = opts.LineData{Name: tips[i], Value: []any{wallMillis(v.At), "-"}}
			if known[i] {
				data[i].Value = []any{wallMillis(v.At), *v.Standing[s]}
			}
			if known[i] && v.atLeast(s) {
				data[i].Symbol, data[i].SymbolSize, atLeast = symbolOption(symbolAtLeast), 13, true
			}
		}
		last := len(f.Visits) - 1
		p.line(f.Stages[s].Name, data, map[string]any{
			"stack": "standing", "symbol": symbolOption(l.symbol), "symbolSize": 7, "showSymbol": true, "showAllSymbol": true,
			"lineStyle": l.lineStyle(2), "itemStyle": l.itemStyle(), "emphasis": map[string]any{"disabled": true},
			"areaStyle": map[string]any{"color": "$c:" + l.colour, "opacity": 0.62},
			"endLabel":  endLabel(known[last] && *f.Visits[last].Standing[s] > 0),
		})
		d.key = append(d.key, keyEntry{Label: f.Stages[s].Name, Kind: "area", Colour: l.colour, Pattern: l.pattern, Dash: l.dash, Symbol: l.symbol})
	}
	slices.Reverse(d.key) // unripe first, as people say it
	if atLeast {
		d.key = append(d.key, keyEntry{Label: "at least so many (a count was not finished)", Kind: "point", Colour: colourInk, Symbol: symbolAtLeast})
	}
	d.key = append(d.key, f.drawMarks(p, &when)...)
	d.when = when

	axes := []any{timeAxis(when, 0, len(f.Marks) == 0)}
	rows := []any{valueAxis(unitFruit)}
	grids := []any{map[string]any{"left": leftRoom, "right": rightRoom(true), "top": 36, "bottom": 56}}
	if len(f.Marks) > 0 {
		names := f.markRows()
		strip := 34 * len(names)
		d.height += strip - 68
		grids[0].(map[string]any)["bottom"] = 76 + strip
		grids = append(grids, map[string]any{"left": leftRoom, "right": rightRoom(true), "height": strip, "bottom": 56})
		axes = append(axes, timeAxis(when, 1, true))
		rows = append(rows, map[string]any{
			"type": "category", "gridIndex": 1, "data": names, "inverse": true,
			"axisTick": map[string]any{"show": false}, "splitLine": map[string]any{"show": true},
		})
	}
	p.whole["grid"], p.whole["xAxis"], p.whole["yAxis"] = grids, axes, rows
	p.whole["tooltip"] = map[string]any{"trigger": "axis", "formatter": "$fn:tipAxis"}
	d.option, err = p.option()
	return d, err
}

func (f StageAreas) drawMarks(p *plot, when *span) []keyEntry {
	kinds := []struct {
		name, colour, symbol string
	}{{"picked", colourPicked, symbolPicked}, {"lost", colourLost, symbolLost}, {"counted", colourInk, symbolMark}}
	var key []keyEntry
	for kind, k := range kinds {
		var data []opts.ScatterData
		for _, m := range f.Marks {
			if m.Kind != MarkKind(kind) {
				continue
			}
			when.add(m.At)
			count, size := "number not counted", 1.0
			label := "?"
			if m.Fruits != nil {
				count, size, label = amountText(*m.Fruits, unitFruit), *m.Fruits, numberText(*m.Fruits)
			}
			tip := momentText(m.At) + tipBreak + k.name + ": " + count
			if m.Kind == Counted {
				tip, label = momentText(m.At)+tipBreak+k.name, ""
			}
			if m.Detail != "" {
				tip += tipBreak + clean(m.Detail)
			}
			data = append(data, opts.ScatterData{Name: tip, Value: []any{wallMillis(m.At), kind, size, label}})
		}
		if len(data) == 0 {
			continue
		}
		if MarkKind(kind) == Counted {
			p.scatter(k.name, data, map[string]any{
				"xAxisIndex": 1, "yAxisIndex": 1, "symbol": symbolOption(k.symbol), "symbolSize": []any{2, 14},
				"itemStyle": map[string]any{"color": "$c:" + k.colour, "opacity": 1}, "emphasis": map[string]any{"disabled": true},
			})
			key = append(key, keyEntry{Label: "day of a count", Kind: "point", Colour: k.colour, Symbol: k.symbol})
			continue
		}
		p.scatter(k.name, data, map[string]any{
			"xAxisIndex": 1, "yAxisIndex": 1, "symbol": symbolOption(k.symbol), "symbolSize": "$fn:markSize",
			"itemStyle": map[string]any{"color": "$c:" + k.colour, "opacity": 1}, "symbolOffset": []any{0, -5}, "emphasis": map[string]any{"disabled": true},
			"label":       map[string]any{"show": true, "position": "bottom", "distance": 2, "formatter": "$fn:markLabel", "color": "$c:ink", "fontSize": 11, "minMargin": 4},
			"labelLayout": map[string]any{"hideOverlap": true},
		})
		key = append(key, keyEntry{Label: k.name + " (number below it)", Kind: "point", Colour: k.colour, Symbol: k.symbol})
	}
	return key
}

// markRows are the rows of the strip of marks: pickings and losses, and counts where they are marked.
func (f StageAreas) markRows() []any {
	if slices.ContainsFunc(f.Marks, func(m Mark) bool { return m.Kind == Counted }) {
		return []any{"picked", "lost", "counted"}
	}
	return []any{"picked", "lost"}
}

func (f StageAreas) tip(v StageVisit) string {
	lines := []string{momentText(v.At)}
	for s, stage := range f.Stages {
		n := "not counted"
		if v.Standing[s] != nil {
			n = numberText(*v.Standing[s])
		}
		if v.atLeast(s) {
			n = "at least " + n
		}
		lines = append(lines, clean(stage.Name)+": "+n)
	}
	if v.Note != "" {
		lines = append(lines, clean(v.Note))
	}
	return strings.Join(lines, tipBreak)
}

func (v StageVisit) atLeast(stage int) bool { return v.AtLeast != nil && v.AtLeast[stage] }

func endLabel(show bool) map[string]any {
	return map[string]any{"show": show, "formatter": "$fn:series", "color": "$c:ink", "distance": 8, "width": 100, "overflow": "truncate"}
}
