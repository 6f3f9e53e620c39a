package charts

import (
	"fmt"
	"math"
	"time"
)

// Figure is a chart: [StageAreas], [Curves], [Cumulative], [Bars], [Timeline], [Fan] or [Ranges]. The set is closed because every figure has to keep
// the package's promises.
type Figure interface {
	draw() (drawing, error)
}

// Point is a value at a time. The time is drawn and printed as the wall clock of its own location shows it.
type Point struct {
	At    time.Time
	Value float64
}

// drawing is a figure ready to be put on a page.
type drawing struct {
	// option is the chart option as data; its strings are clean.
	option map[string]any
	// height of the chart in CSS pixels.
	height int
	// rigid charts keep their height on paper, where others are made lower.
	rigid bool
	key   []keyEntry
	// caption says how to read the chart; basis says what it rests on.
	caption string
	basis   string
	notes   []string
	// when is the stretch of time that a chart over time covers.
	when span
}

// keyEntry explains one sign of the chart.
type keyEntry struct {
	Label  string
	Kind   string // area, line, thin, life, point, range, band, inner, bar
	Colour string // name of a colour of report.css
	// Pattern is an index into patterns, Dash an SVG dash array, Symbol an SVG path about the origin.
	Pattern int
	Dash    string
	Symbol  string
}

// tipBreak parts the lines of a tooltip. It is a printable sign, not a line break, because clean removes those; in a
// user's text it could only start a new line.
const tipBreak = "\u241e"

func notFinite(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) }

func checkFinite(what string, values ...float64) error {
	for _, v := range values {
		if notFinite(v) {
			return fmt.Errorf("%s is %v; a value must be a finite number", what, v)
		}
	}
	return nil
}

func checkTime(what string, t time.Time) error {
	if t.IsZero() {
		return fmt.Errorf("%s has no time", what)
	}
	return nil
}

func checkPoints(what string, points []Point) error {
	for i, p := range points {
		name := fmt.Sprintf("%s, point %d", what, i+1)
		if err := checkTime(name, p.At); err != nil {
			return err
		}
		if err := checkFinite(name, p.Value); err != nil {
			return err
		}
		if i > 0 && wallMillis(p.At) < wallMillis(points[i-1].At) {
			return fmt.Errorf("%s is earlier than the point before it", name)
		}
	}
	return nil
}

// span is the stretch of time that a chart covers.
type span struct{ first, last time.Time }

func (s *span) add(times ...time.Time) {
	for _, t := range times {
		if s.first.IsZero() || wallMillis(t) < wallMillis(s.first) {
			s.first = t
		}
		if s.last.IsZero() || wallMillis(t) > wallMillis(s.last) {
			s.last = t
		}
	}
}
