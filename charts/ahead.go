package charts

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
)

// aheadSections are what a season's report says of the days to come, right after its answer.
func aheadSections(r *report.Season, links ReportLinks) []Section {
	if r.Ahead.Why != "" {
		return []Section{{Heading: ripeHeading, Empty: r.Ahead.Why}}
	}
	if why := r.NothingAhead(); why != "" {
		return []Section{{Heading: ripeHeading, Empty: why}}
	}
	if !r.Ahead.Coming() {
		return nil
	}
	sections := []Section{ripeSection(r), planSection(r)}
	if s, ok := cultivarsAheadSection(r); ok {
		sections = append(sections, s)
	}
	if s, ok := plantsAheadSection(r, links); ok {
		sections = append(sections, s)
	}
	if s, ok := countNextSection(r, links); ok {
		sections = append(sections, s)
	}
	return sections
}

// trustSections are whose times a forecast rests on, how earlier ones held, how the counts fit, and the records that weren't expected.
func trustSections(r *report.Season, links ReportLinks, fit []Section) []Section {
	var sections []Section
	if s, ok := residenceSection(r); ok {
		sections = append(sections, s)
	}
	if s, ok := heldSection(r); ok {
		sections = append(sections, s)
	}
	sections = append(sections, fit...)
	if s, ok := surpriseSection(r, links); ok {
		sections = append(sections, s)
	}
	return sections
}

// plantAheadSections are those of a plant's report.
func plantAheadSections(r *report.OnePlant) []Section {
	if r.Ahead.Why != "" {
		return []Section{{Heading: ripeHeading, Empty: r.Ahead.Why}}
	}
	if r.RipeByDay() == nil {
		return nil
	}
	s := ripeSection(r.Season)
	if pick := r.PickSentence(); pick != "" {
		s.Notes = append(s.Notes, pick+" That is where the season's plan has it; its report says what a day later costs.")
	}
	s.Notes = append(s.Notes, r.TreatedSentences()...)
	if x, raised := r.ExpectedPastRipe(nil); x != nil && (x.Mean >= 0.05 || x.High > 0) {
		words := fmt.Sprintf("By expectation about %s of its ripe fruit have hung longer than %s days (%s interval %d to %d); of %d it is certain if the records are complete.",
			report.About(x.Mean), report.Days(x.HoldDays), aheadLevel, x.Low, x.High, x.Certain)
		if raised {
			words += " Some of these may have fallen unseen: the model by itself expects fewer."
		}
		s.Notes = append(s.Notes, words)
	}
	return []Section{s}
}

const ripeHeading = "What will be ripe"

// aheadLevel is the level of a forecast's intervals.
var aheadLevel = report.Rounded(100*report.AheadLevel, 0) + "\u00a0%"

// ripeSection draws the fan, with the table of every day.
func ripeSection(r *report.Season) Section {
	s := Section{Heading: ripeHeading, Sentence: r.RipeSentence()}
	days := r.RipeByDay()
	if days[len(days)-1].Quantiles.High == 0 { // neither a flat line nor a table of zeros shows anything
		empty := Section{Heading: ripeHeading, Empty: s.Sentence}
		if words := r.ToComeSentence(); words != "" {
			empty.Notes = []string{words}
		}
		return empty
	}
	f := Fan{
		Title: "Fruit newly ripe since " + crop.DayWords(r.AsOf), Unit: unitFruit, Inner: "50 % interval", Outer: aheadLevel + " interval",
		Points: []FanPoint{{At: r.AsOf}}, Basis: aheadBasis(r),
	}
	t := &Table{Caption: "Fruit newly ripe by the same hour of each day ahead", Columns: []Column{{Name: "By"}, {Name: "Days ahead", Numeric: true}, {Name: "Mean", Unit: unitFruit, Numeric: true},
		{Name: "5 %", Unit: unitFruit, Numeric: true}, {Name: "25 %", Unit: unitFruit, Numeric: true}, {Name: "Median", Unit: unitFruit, Numeric: true},
		{Name: "75 %", Unit: unitFruit, Numeric: true}, {Name: "95 %", Unit: unitFruit, Numeric: true}}}
	for _, d := range days {
		q := d.Quantiles
		f.Points = append(f.Points, FanPoint{At: d.At, Median: float64(q.Median), InnerLow: float64(q.LowerQuartile), InnerHigh: float64(q.UpperQuartile), OuterLow: float64(q.Low), OuterHigh: float64(q.High)})
		t.Rows = append(t.Rows, []string{report.Weekday(crop.DateOf(d.At)), whole(d.Days), report.About(d.Mean), whole(q.Low), whole(q.LowerQuartile), whole(q.Median), whole(q.UpperQuartile), whole(q.High)})
	}
	s.Figure, s.Table = f, t
	if words := r.ToComeSentence(); words != "" {
		s.Notes = append(s.Notes, words)
	}
	s.Notes = append(s.Notes, "A day ahead is 24 hours from "+report.Clock(r.AsOf)+", and its number is of all fruit that become ripe until then. 5 % and 95 % are the ends of the "+aheadLevel+" interval, 25 % and 75 % those of the 50 % interval.")
	return s
}

func aheadBasis(r *report.Season) string {
	x := r.Ahead.Forecast.RestsOn
	return fmt.Sprintf("%s of %s", count(x.Visits, "count", "counts"), count(len(r.Ahead.Forecast.Plants), "plant that still stands", "plants that still stand"))
}
