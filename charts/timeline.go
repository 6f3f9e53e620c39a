package charts

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/go-echarts/go-echarts/v2/opts"
)

// Timeline draws what happened to each of several things on calendar time, one line a row, with a sign for each kind of event.
type Timeline struct {
	// Kinds are the kinds of events, told apart by outline and colour; at most eight.
	Kinds []string
	Rows  []TimelineRow
	// Limit is the largest number of rows drawn, from the first; 40 if it is 0. The chart says how many were left out.
	Limit int
	// Basis says what the chart rests on: "8 plants".
	Basis string
}

// TimelineRow is one line. It is drawn from From to To, which hold all its events.
type TimelineRow struct {
	Name     string
	From, To time.Time
	Events   []TimelineEvent
}

// TimelineEvent is one sign on a line.
type TimelineEvent struct {
	Kind int // its position in Timeline.Kinds
	At   time.Time
	// After is the last time at which it was seen not to have happened; zero if it isn't known.
	After time.Time
	// Note is added to what the chart tells about this event.
	Note string
}

// eventSigns are an outline and a colour for each kind, in the order of a plant's life.
var eventSigns = []struct{ symbol, colour string }{
	{symbols[2], "series-6"},           // triangle
	{symbols[5], "series-4"},           // upright cross
	{symbols[0], "stage-0"},            // disc
	{symbols[3], "stage-3"},            // diamond
	{symbols[1], "stage-6"},            // square
	{symbolMark, colourInk},            // upright stroke
	{"M-0.8 -1L1 0L-0.8 1Z", "picked"}, // triangle, pointing on
	{symbolLost, colourLost},           // slanted cross
}

func (f Timeline) check() error {
	switch {
	case len(f.Rows) == 0:
		return errors.New("no rows")
	case len(f.Kinds) == 0 || len(f.Kinds) > len(eventSigns):
		return fmt.Errorf("%d kinds of events; there are signs for 1 to %d", len(f.Kinds), len(eventSigns))
	}
	for _, r := range f.Rows {
		if err := errors.Join(checkTime(fmt.Sprintf("row %q: its beginning", r.Name), r.From), checkTime(fmt.Sprintf("row %q: its end", r.Name), r.To)); err != nil {
			return err
		}
		if wallMillis(r.From) > wallMillis(r.To) {
			return fmt.Errorf("row %q ends before it begins", r.Name)
		}
		for i, e := range r.Events {
			name := fmt.Sprintf("row %q, event %d", r.Name, i+1)
			if e.Kind < 0 || e.Kind >= len(f.Kinds) {
				return fmt.Errorf("%s is of kind %d; there are %d", name, e.Kind, len(f.Kinds))
			}
			if err := checkTime(name, e.At); err != nil {
				return err
			}
			if wallMillis(e.At) < wallMillis(r.From) || wallMillis(e.At) > wallMillis(r.To) {
				return fmt.Errorf("%s lies outside its row", name)
			}
			if wallMillis(e.After) > wallMillis(e.At) && !e.After.IsZero() {
				return fmt.Errorf("%s was seen not to be so after it was", name)
			}
		}
	}
	return nil
}

func (f Timeline) draw() (drawing, error) {
	if err := f.check(); err != nil {
		return drawing{}, fmt.Errorf("timeline: %w", err)
	}
	limit := f.Limit
	if limit <= 0 {
		limit = defaultBarLimit
	}
	rows := f.Rows[:min(limit, len(f.Rows))]
	p := newPlot("")
	d := drawing{basis: f.Basis, height: 78 + 26*len(rows)}
	alone := len(f.Rows) == 1 // its signs have room for their days, and need no name
	if alone {
		d.height += 28
	}
	if len(rows) < len(f.Rows) {
		d.notes = append(d.notes, fmt.Sprintf("The chart shows the first %d of %d rows; the table has them all.", len(rows), len(f.Rows)))
	}
	var when span
	names := make([]any, len(rows))
	lives := make([]opts.CustomData, len(rows))
	for r, row := range rows {
		names[r] = row.Name
		when.add(row.From, row.To)
		lives[r] = opts.CustomData{Value: []any{wallMillis(row.From), wallMillis(row.To), r}}
	}
	p.custom("life", "lying", lives, lyingPatch(colourMuted, 2))
	d.key = append(d.key, keyEntry{Label: "from the first to the last day on record", Kind: "life", Colour: colourMuted})
	if between := f.between(rows); len(between) > 0 {
		p.custom("between", "lying", between, lyingPatch(colourInk, 3))
		d.key = append(d.key, keyEntry{Label: "happened between two looks: not yet so at its left end", Kind: "life", Colour: colourInk})
	}
	for kind, name := range f.Kinds {
		data := f.signs(rows, kind)
		if len(data) == 0 {
			continue
		}
		sign := eventSigns[kind]
		patch := map[string]any{
			"symbol": symbolOption(sign.symbol), "symbolSize": signSize(sign.symbol), "z": 4, "emphasis": map[string]any{"disabled": true},
			"itemStyle": map[string]any{"color": "$c:" + sign.colour, "borderColor": "$c:paper", "borderWidth": 1, "opacity": 1},
		}
		if alone {
			patch["label"] = map[string]any{"show": true, "position": "top", "distance": 8, "formatter": "$fn:markLabel", "color": "$c:ink", "fontSize": 11, "minMargin": 4}
			patch["labelLayout"] = map[string]any{"hideOverlap": true}
		}
		p.scatter(name, data, patch)
		d.key = append(d.key, keyEntry{Label: name, Kind: "point", Colour: sign.colour, Symbol: sign.symbol})
	}
	grid := map[string]any{"left": 130, "right": 20, "top": 8, "bottom": 56}
	labels := map[string]any{"interval": 0, "width": 118, "overflow": "truncate"}
	if alone {
		grid["left"], grid["top"] = 20, 36
		labels = map[string]any{"show": false}
	}
	p.whole["grid"], p.whole["xAxis"] = grid, timeAxis(when, 0, true)
	p.whole["yAxis"] = map[string]any{
		"type": "category", "data": names, "inverse": true, "axisTick": map[string]any{"show": false},
		"axisLabel": labels, "splitLine": map[string]any{"show": false},
	}
	p.whole["tooltip"] = map[string]any{"trigger": "item", "formatter": "$fn:tip"}
	var err error
	d.option, err = p.option()
	return d, err
}

func lyingPatch(colour string, z int) map[string]any {
	return map[string]any{
		"encode": map[string]any{"x": []any{0, 1}, "y": 2}, "silent": true, "z": z, "itemStyle": map[string]any{"color": "$c:" + colour},
	}
}

// signSize is the size of a sign in pixels; the stroke is taller than it is wide.
func signSize(symbol string) any {
	if symbol == symbolMark {
		return []any{4, 18}
	}
	return 11
}

// between are the stretches within which events happened.
func (f Timeline) between(rows []TimelineRow) []opts.CustomData {
	var out []opts.CustomData
	for r, row := range rows {
		for _, e := range row.Events {
			if !e.After.IsZero() {
				out = append(out, opts.CustomData{Value: []any{wallMillis(e.After), wallMillis(e.At), r}})
			}
		}
	}
	return out
}

// signs are the events of a kind, with what is told of them.
func (f Timeline) signs(rows []TimelineRow, kind int) []opts.ScatterData {
	var out []opts.ScatterData
	for r, row := range rows {
		for _, e := range row.Events {
			if e.Kind != kind {
				continue
			}
			told := []string{clean(row.Name), momentText(e.At)}
			if !e.After.IsZero() {
				told = append(told, "not yet on "+momentText(e.After))
			}
			if e.Note != "" {
				told = append(told, clean(e.Note))
			}
			out = append(out, opts.ScatterData{Name: strings.Join(told, tipBreak), Value: []any{wallMillis(e.At), r, 0, e.At.Format("2 Jan")}})
		}
	}
	return out
}
