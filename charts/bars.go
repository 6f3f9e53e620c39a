package charts

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/go-echarts/go-echarts/v2/opts"
)

// Bars draws lying bars, one row for each plant, cause or other category, in the order given.
type Bars struct {
	// Title and Unit head the value axis: "Ripe fruit past its hold time", "fruit".
	Title  string
	Unit   string
	Rows   []string
	Series []BarSeries
	// Layout says how the bars of one row stand to each other.
	Layout BarLayout
	// Limit is the largest number of rows drawn, from the first; 40 if it is 0. The chart says how many were left out.
	Limit int
	// Basis says what the chart rests on: "8 plants, last counted 3 Feb 2026".
	Basis string
}

// BarSeries is one kind of bar.
type BarSeries struct {
	Name string
	// Values by row; nil where it is not known.
	Values []*float64
	Tone   Tone
	// Unlabelled leaves it out of what stands beside nested bars.
	Unlabelled bool
}

// BarLayout is how the bars of one row stand to each other.
type BarLayout int

// The layouts.
const (
	// Nested bars lie within each other, the first the widest: a whole and a part of it.
	Nested BarLayout = iota
	// Stacked bars follow each other and add up.
	Stacked
	// Grouped bars lie side by side.
	Grouped
)

const defaultBarLimit = 40

func (f Bars) check() error {
	switch {
	case f.Title == "":
		return errors.New("the value axis has no title")
	case len(f.Rows) == 0:
		return errors.New("no rows")
	case len(f.Series) == 0:
		return errors.New("no series")
	}
	for _, s := range f.Series {
		if len(s.Values) != len(f.Rows) {
			return fmt.Errorf("series %q has %d values for %d rows", s.Name, len(s.Values), len(f.Rows))
		}
		for i, v := range s.Values {
			if v != nil && (notFinite(*v) || *v < 0) {
				return fmt.Errorf("series %q, row %q: %v is not a length for a bar", s.Name, f.Rows[i], *v)
			}
		}
	}
	return nil
}

func (f Bars) draw() (drawing, error) {
	if err := f.check(); err != nil {
		return drawing{}, fmt.Errorf("bars: %w", err)
	}
	limit := f.Limit
	if limit <= 0 {
		limit = defaultBarLimit
	}
	n := min(limit, len(f.Rows))
	p := newPlot("")
	d := drawing{basis: f.Basis}
	if f.Layout == Nested && len(f.Series) > 1 {
		var names []string
		for _, s := range slices.Backward(f.Series) {
			if !s.Unlabelled {
				names = append(names, s.Name)
			}
		}
		d.caption = "Beside each bar: the fruit " + clean(strings.Join(names, ", of the fruit "))
	}
	if n < len(f.Rows) {
		d.notes = append(d.notes, fmt.Sprintf("The chart shows the first %d of %d rows; the table has them all.", n, len(f.Rows)))
	}
	rowHeight := 30
	if f.Layout == Grouped {
		rowHeight = 10 + 18*len(f.Series)
	}
	d.height = 64 + n*rowHeight

	unknown := make([][]string, n)
	for i, s := range f.Series {
		l := seriesLook(i)
		l.colour = s.Tone.colour(i)
		l.pattern = f.pattern(i)
		data := make([]opts.BarData, n)
		for r := range n {
			value := "not known"
			data[r].Value = []any{"-", r}
			if v := s.Values[r]; v != nil {
				value = amountText(*v, f.Unit)
				label := numberText(*v)
				if f.Layout == Nested {
					label = f.label(r)
				}
				data[r].Value = []any{*v, r, 0, label}
				if *v == 0 && f.Layout == Stacked { // no empty box beside the bar
					data[r].Label = &opts.Label{Show: opts.Bool(false)}
				}
			} else {
				unknown[r] = append(unknown[r], clean(s.Name))
			}
			data[r].Name = strings.Join([]string{clean(f.Rows[r]), clean(s.Name) + ": " + value}, tipBreak)
		}
		p.bar(s.Name, data, f.patch(i, l))
		d.key = append(d.key, keyEntry{Label: s.Name, Kind: "bar", Colour: l.colour, Pattern: l.pattern})
	}
	var marks []opts.ScatterData
	for r, names := range unknown {
		if text, at := f.remark(r, names); text != "" {
			marks = append(marks, opts.ScatterData{Value: []any{at, r, 0, text}})
		}
	}
	if len(marks) > 0 {
		p.scatter("not known", marks, map[string]any{
			"symbolSize": 1, "silent": true, "itemStyle": map[string]any{"color": "$c:ink"},
			"label": map[string]any{"show": true, "position": "right", "formatter": "$fn:markLabel", "color": "$c:ink", "fontSize": 12},
		})
	}

	names := make([]any, n)
	for r := range n {
		names[r] = f.Rows[r]
	}
	x := valueAxis(f.Unit)
	x["name"], x["nameLocation"], x["nameGap"] = titled(f.Title, f.Unit), "middle", 30
	p.whole["grid"] = map[string]any{"left": 130, "right": f.labelRoom(), "top": 8, "bottom": 50}
	p.whole["xAxis"] = x
	axis := map[string]any{
		"type": "category", "data": names, "inverse": true, "axisTick": map[string]any{"show": false},
		"axisLabel": map[string]any{"interval": 0, "width": 118, "overflow": "truncate"}, "splitLine": map[string]any{"show": false},
	}
	axes := []any{axis}
	if f.Layout == Nested {
		// Bars of different widths share a centre line only if each has an axis of its own.
		for range len(f.Series) - 1 {
			axes = append(axes, map[string]any{"type": "category", "data": names, "inverse": true, "show": false})
		}
	}
	p.whole["yAxis"] = axes
	p.whole["tooltip"] = map[string]any{"trigger": "axis", "axisPointer": map[string]any{"type": "shadow"}, "formatter": "$fn:tipAxis"}
	var err error
	d.option, err = p.option()
	return d, err
}

// pattern leaves the bar that matters most plain: the innermost of nested bars, the first of others.
func (f Bars) pattern(i int) int {
	if f.Layout == Nested {
		return (len(f.Series) - 1 - i) % len(patterns)
	}
	return i % len(patterns)
}

// remark is what stands in row r where a bar can't say it, and how far along: that nothing was lost, or which values are
// not known.
func (f Bars) remark(r int, unknown []string) (text string, at float64) {
	known := 0
	for _, s := range f.Series {
		if v := s.Values[r]; v != nil {
			known++
			at = max(at, *v)
		}
	}
	switch {
	case len(unknown) == 0 && f.Layout == Stacked && at == 0:
		return "0", 0
	case len(unknown) == 0:
		return "", 0
	case known == 0:
		return "not known", 0
	case f.Layout != Nested:
		return "\u2003\u2003" + strings.Join(unknown, ", ") + ": not known", at // clear of the numbers beside the bars
	case f.Series[0].Values[r] == nil: // the outermost would carry the label
		return f.label(r), at
	}
	return "", 0
}

// label is the text beside nested bars, from the innermost outwards: "2 of 5".
func (f Bars) label(r int) string {
	parts := make([]string, 0, len(f.Series))
	for _, s := range slices.Backward(f.Series) {
		if s.Unlabelled {
			continue
		}
		text := "?"
		if v := s.Values[r]; v != nil {
			text = numberText(*v)
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, " of ")
}

// labelRoom is the space right of the plot for what stands beside the longest bar, which may reach the end of the axis.
func (f Bars) labelRoom() int {
	const least, letter = 64, 7
	longest := 0
	if f.Layout == Nested {
		for r := range f.Rows {
			longest = max(longest, len([]rune(f.label(r))))
		}
	}
	return max(least, letter*(longest+2))
}

func (f Bars) patch(i int, l look) map[string]any {
	style := l.itemStyle()
	style["borderColor"], style["borderWidth"] = "$c:"+l.colour, 1
	label := map[string]any{"show": true, "position": "right", "formatter": "$fn:markLabel", "color": "$c:ink", "fontSize": 12}
	patch := map[string]any{
		"itemStyle": style, "label": label, "barMaxWidth": 22, "barCategoryGap": "30%", "emphasis": map[string]any{"disabled": true}, "z": 2 + i,
	}
	switch f.Layout {
	case Nested:
		patch["yAxisIndex"], patch["barWidth"] = i, strconv.Itoa(66/(i+1))+"%"
		label["show"] = i == 0
		if i > 0 { // a rim of paper parts a bar from the one around it
			style["borderColor"], style["borderWidth"] = "$c:paper", 1.5
		}
	case Stacked:
		patch["stack"] = "row"
		label["position"], label["formatter"] = "inside", "$fn:positive"
		label["backgroundColor"], label["padding"], label["borderRadius"] = "$c:paper", []any{2, 4, 1, 4}, 2
		label["textBorderWidth"] = 0
		patch["labelLayout"] = map[string]any{"hideOverlap": true}
	}
	return patch
}
