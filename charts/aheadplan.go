package charts

import (
	"fmt"
	"strings"

	"vinetally/analytics/report"
)

// planSection is the picking plan.
func planSection(r *report.Season) Section {
	plan := &r.Ahead.Forecast.Plan
	s := Section{Heading: "Picking plan", Sentence: r.PickSentence()}
	s.Notes = r.TreatedSentences()
	if end := plan.EndWords(); end != "" && len(plan.Picks) > 0 {
		s.Notes = append(s.Notes, end)
	}
	if len(plan.Picks) == 0 {
		s.Empty = plan.None()
		return s
	}
	t := &Table{Caption: fmt.Sprintf("Days to pick in the next %d, if all ripe fruit is taken each time (%s intervals in brackets)", plan.Days, aheadLevel), Stack: true,
		Columns: []Column{{Name: "Day"}, {Name: "Fruit", Numeric: true}, {Name: "Mass", Unit: "g", Numeric: true}, {Name: "A day later costs", Unit: unitFruit, Numeric: true}, {Name: "From"}}}
	for _, p := range plan.Picks {
		mass := "not weighed"
		if p.Grams != nil {
			mass = fmt.Sprintf("%s (%s – %s)", report.Rounded(p.Grams.Mean, 0), report.Rounded(p.Grams.Low, 0), report.Rounded(p.Grams.High, 0))
		}
		from := strings.Join(p.Plants, ", ")
		if from == "" {
			from = "no plant with half a fruit or more expected"
		}
		later := report.Expected(p.LaterCost.Mean, p.LaterCost.Low, p.LaterCost.High)
		if plan.SeasonEnds != nil && p.On == *plan.SeasonEnds {
			later = "the season is over"
		}
		t.Rows = append(t.Rows, []string{report.Weekday(p.On), report.Expected(p.Fruits.Mean, p.Fruits.Low, p.Fruits.High), mass, later, from})
	}
	s.Table = t
	all := 0.0
	for i := range plan.Picks {
		all += plan.Picks[i].Fruits.Mean
	}
	share := plan.PastRipe
	late := fmt.Sprintf("Each day is as late as lets no more than %s %% of the fruit hang longer than its hold time; by this plan about %s of %s fruit do (%s interval %s to %s)",
		report.Rounded(100*plan.Tolerated, 0), report.About(share.Mean*all), report.About(all), aheadLevel, report.Rounded(share.Low*all, 0), report.Rounded(share.High*all, 0))
	if plan.PastRipe.Mean > plan.Tolerated {
		late += ", what hangs too long already included"
	}
	s.Notes = append(s.Notes, late+".")
	if plan.Waits {
		s.Notes = append(s.Notes, fmt.Sprintf("What becomes ripe after the last of these days can wait until after %s.", report.Weekday(r.DayAhead(plan.Days))))
	}
	s.Notes = append(s.Notes, "“A day later costs” is how many more fruit are expected to pass their hold time. Ripe by forecast doesn't mean safe to eat: look first, and discard mouldy, leaking or fallen fruit.")
	return s
}

// countNextSection lists the plants to count; false where no count is worth it.
func countNextSection(r *report.Season, links ReportLinks) (Section, bool) {
	all := r.CountNext()
	if len(all) == 0 {
		return Section{}, false
	}
	const most = 10
	t := &Table{Caption: fmt.Sprintf("How far the fruit newly ripe in %s may be off, in standard deviations", count(all[0].Days, "day", "days")),
		Stack:   true,
		Columns: []Column{{Name: "Plant"}, {Name: "Last count"}, {Name: "Now", Unit: unitFruit, Numeric: true}, {Name: "After a count", Unit: unitFruit, Numeric: true}}}
	for _, c := range all[:min(most, len(all))] {
		t.Rows = append(t.Rows, []string{c.Plant, momentText(c.LastCount.In(r.AsOf.Location())), report.Rounded(c.Now, 1), report.Rounded(c.Counted, 1)})
		if links.Plant != nil {
			t.RowLinks = append(t.RowLinks, links.Plant(c.PlantID.String()))
		}
	}
	s := Section{Heading: "What to count next", Sentence: r.CountNextSentence(), Table: t}
	if n := len(all) - most; n > 0 {
		s.Notes = []string{count(n, "more plant whose count would tell something isn't listed.", "more plants whose count would tell something aren't listed.")}
	}
	return s, true
}
