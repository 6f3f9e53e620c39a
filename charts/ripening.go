package charts

import (
	"fmt"
	"strings"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/report"
)

// ripeningSection shows the pooled curve of each cultivar's ripe stage, and the days of every stage in its table.
func ripeningSection(r *report.Season) Section {
	s := Section{Heading: "When the fruit ripened"}
	figure := Curves{Title: "Fruit that ever reached ripe", Unit: "fruit per plant"}
	var basis []string
	for i := range r.Curves.Curves {
		c := &r.Curves.Curves[i]
		if c.Scope == curve.ScopeCultivar && r.RipeStage(c.CultivarID) == c.Stage {
			figure.Series = append(figure.Series, curveSeries(c, c.Cultivar, r.AsOf.Location()))
			basis = append(basis, fmt.Sprintf("%s of %s of %s", count(c.RestsOn.Visits, "count", "counts"), count(c.RestsOn.Plants, "plant", "plants"), c.Cultivar))
		}
	}
	s.Table = curveTable(r, curve.ScopeCultivar)
	s.Notes = append(r.Ripened(), curveNotes(r, curve.ScopeCultivar)...)
	if len(figure.Series) == 0 {
		s.Empty = "No cultivar's counts carry a curve of the ripe stage yet; the reasons are below."
		if r.Totals.Counted == 0 {
			s.Empty = "A curve is fitted to counts, and no plant has been counted yet."
		}
		return s
	}
	figure.Basis = fmt.Sprintf("%s; %s intervals", strings.Join(basis, ", "), levelText)
	s.Figure = figure
	s.Sentence = "Fruit per plant that had reached ripe by each day. Points are counts, each the mean of the plants counted that day; lines are fitted to them, with their bands. The marks are the days at which a line stands at a tenth, half and nine tenths of its own level."
	return s
}

// curveSeries is one fitted curve with its points.
func curveSeries(c *curve.Curve, name string, loc *time.Location) Curve {
	s := Curve{Name: name, BandName: fmt.Sprintf("%s interval of the curve", levelText)}
	for _, o := range c.Observed {
		s.Points = append(s.Points, CurvePoint{At: o.At.In(loc), Value: o.Value})
	}
	for _, l := range c.Line {
		s.Fit = append(s.Fit, Point{At: l.At.In(loc), Value: l.Value})
		if l.Low != nil && l.High != nil {
			s.Band = append(s.Band, BandPoint{At: l.At.In(loc), Low: *l.Low, High: *l.High})
		}
	}
	level := levelOf(c)
	for _, m := range []struct {
		label string
		share float64
		at    *curve.Crossing
	}{{"t10", 0.1, c.T10}, {"t50", 0.5, c.T50}, {"t90", 0.9, c.T90}} {
		if m.at == nil {
			continue
		}
		mark := TimeMark{Label: m.label, At: m.at.At.In(loc), Value: m.share * level}
		if m.at.Low != nil {
			mark.Low = new(shift(m.at.At.In(loc), *m.at.Low-m.at.Days))
			mark.High = new(shift(m.at.At.In(loc), *m.at.High-m.at.Days))
		}
		s.Marks = append(s.Marks, mark)
	}
	return s
}

// levelText is the level of every interval.
var levelText = report.Rounded(100*curve.Level, 0) + "\u00a0%" // the number and its sign stay on one line

// levelOf is the level that the curve approaches: its parameter a.
func levelOf(c *curve.Curve) float64 {
	for _, p := range c.Parameters {
		if p.Name == "a" {
			return p.Value
		}
	}
	return 0
}

func shift(t time.Time, days float64) time.Time {
	return t.Add(time.Duration(days * float64(24*time.Hour)))
}

// curveTable lists t10, t50 and t90 of every curve of a scope.
func curveTable(r *report.Season, scope curve.Scope) *Table {
	unit := "fruit per plant"
	if scope == curve.ScopePlant {
		unit = "fruit"
	}
	t := &Table{Caption: fmt.Sprintf("Days at which the fitted curves stand at a tenth, half and nine tenths of their level (%s interval in brackets)", levelText),
		Columns: []Column{{Name: "Curve"}, {Name: "Stage"}, {Name: "t10"}, {Name: "t50"}, {Name: "t90"}, {Name: "t50", Unit: "days", Numeric: true},
			{Name: "Level", Unit: unit, Numeric: true}, {Name: "Shape"}, {Name: "Counts", Numeric: true}, {Name: "Fruit", Numeric: true}}}
	for i := range r.Curves.Curves {
		c := &r.Curves.Curves[i]
		if c.Scope != scope {
			continue
		}
		days := "not given"
		if c.T50 != nil {
			days = report.Rounded(c.T50.Days, 1)
		}
		t.Rows = append(t.Rows, []string{curveName(c.Subject), c.Stage, crossingWords(c.T10), crossingWords(c.T50), crossingWords(c.T90),
			days, report.Rounded(levelOf(c), 1), familyWords(c), whole(c.RestsOn.Visits), whole(c.RestsOn.Fruits)})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return t
}

func curveName(s curve.Subject) string {
	if s.Scope == curve.ScopePlant {
		return s.Plant
	}
	return s.Cultivar
}

// familyWords names the shape that was chosen, with its Akaike weight where another was possible.
func familyWords(c *curve.Curve) string {
	for _, k := range c.Candidates {
		if k.Family == c.Family && len(c.Candidates) > 1 {
			return fmt.Sprintf("%s (weight %s)", title(c.Family), report.Rounded(k.Weight, 2))
		}
	}
	return title(c.Family)
}

func crossingWords(x *curve.Crossing) string {
	if x == nil {
		return "not given"
	}
	at, low, high := report.CrossingDays(x)
	if x.Low == nil {
		return at.Words() + " (no interval)"
	}
	return fmt.Sprintf("%s (%s)", at.Words(), crop.RangeWords(low, high))
}

// curveNotes are the warnings of the curves and the reasons of those refused, each said once.
func curveNotes(r *report.Season, scope curve.Scope) []string {
	var notes []string
	if curveTable(r, scope) != nil {
		notes = append(notes, "t10, t50 and t90 refer to the level at which the fitted curve flattens out, not to all fruit ever set. Days count from the first sowing among the plants of a curve, or from transplanting where no sowing date is known.")
	}
	shown := func(s curve.Subject) bool { // a season's chart is of the ripe stage, and so are its notes
		return s.Scope == scope && (scope != curve.ScopeCultivar || r.RipeStage(s.CultivarID) == s.Stage)
	}
	notes = append(notes, curveWarnings(r, shown)...)
	rest := 0
	for i := range r.Curves.Curves {
		if c := &r.Curves.Curves[i]; c.Scope == scope && !shown(c.Subject) && len(c.Warnings) > 0 {
			rest++
		}
	}
	for _, x := range r.Curves.Refused {
		if x.Scope == scope && !shown(x.Subject) {
			rest++
		}
		if shown(x.Subject) {
			of := ""
			if scope == curve.ScopeCultivar {
				of = " for " + curveName(x.Subject)
			}
			notes = append(notes, fmt.Sprintf("No curve of %s%s: %s", x.Stage, of, x.Reason))
		}
	}
	if rest > 0 {
		notes = append(notes, fmt.Sprintf("What is to be said of %s of earlier stages stands with them in the report as JSON.", count(rest, "curve", "curves")))
	}
	return notes
}

// curveWarnings says each warning of a plant or cultivar once, with the stages that it holds for.
func curveWarnings(r *report.Season, shown func(curve.Subject) bool) []string {
	type subject struct{ name, warning string }
	stages := map[subject][]string{}
	var order []subject
	for i := range r.Curves.Curves {
		c := &r.Curves.Curves[i]
		if !shown(c.Subject) {
			continue
		}
		for _, w := range c.Warnings {
			k := subject{curveName(c.Subject), w}
			if stages[k] == nil {
				order = append(order, k)
			}
			stages[k] = append(stages[k], c.Stage)
		}
	}
	notes := make([]string, len(order))
	for i, k := range order {
		notes[i] = fmt.Sprintf("%s, %s: %s", k.name, strings.Join(stages[k], ", "), k.warning)
	}
	return notes
}
