package charts

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/analytics/yield"
)

// mostWeeks is how many weeks a season's table shows, the last ones.
const mostWeeks = 26

// weekSection lists the fruit picked from each plant, week by week.
func weekSection(r *report.Season, links ReportLinks) Section {
	s := Section{Heading: "Picked, by plant and week"}
	weeks := weeksOf(r)
	if len(weeks) == 0 {
		s.Empty = "No fruit has been picked and counted yet."
		return s
	}
	shown := weeks[max(0, len(weeks)-mostWeeks):]
	t := &Table{Caption: "Fruit picked in the week that begins on the day", Columns: []Column{{Name: "Plant"}, {Name: "Cultivar"}}}
	for _, monday := range shown {
		t.Columns = append(t.Columns, Column{Name: shortDay(monday), Unit: whole(monday.Year), Numeric: true})
	}
	t.Columns = append(t.Columns, Column{Name: "All", Unit: "fruit", Numeric: true})
	sums, units := map[crop.Date]int{}, map[crop.Date]int{}
	row := func(name, cultivar string, of map[crop.Date]int) []string {
		cells, all := []string{name, cultivar}, 0
		for _, n := range of {
			all += n
		}
		for _, monday := range shown {
			cells = append(cells, whole(of[monday]))
		}
		return append(cells, whole(all))
	}
	for i := range r.Harvest.Plants {
		p := &r.Harvest.Plants[i]
		own := map[crop.Date]int{}
		for _, w := range p.Weeks {
			own[w.Monday] = w.Fruits
			units[w.Monday] -= w.Fruits
		}
		t.Rows = append(t.Rows, row(p.Records.Plant.Label, p.Records.Cultivar.Name, own))
		if links.Plant != nil {
			t.RowLinks = append(t.RowLinks, links.Plant(p.Records.Plant.ID.String()))
		}
	}
	for i := range r.Harvest.Cultivars {
		for _, w := range r.Harvest.Cultivars[i].Weeks {
			sums[w.Monday] += w.Fruits
			units[w.Monday] += w.Fruits
		}
	}
	last := [][]string{row("All", "–", sums)}
	if r.Yield.Unattributed.Fruits > 0 {
		last = append([][]string{row("No plant in particular", "–", units)}, last...)
	}
	t.Rows = append(t.Rows, last...)
	if t.RowLinks != nil {
		t.RowLinks = append(t.RowLinks, make([]string, len(last))...)
	}
	best := shown[0]
	for _, monday := range shown {
		if sums[monday] > sums[best] {
			best = monday
		}
	}
	s.Table = t
	s.Sentence = fmt.Sprintf("Fruit picked from each plant, week by week from Monday; most in the week of %s, %d fruit of %d in all.", best.Words(), sums[best], r.Yield.Fruits)
	if len(shown) < len(weeks) {
		s.Notes = append(s.Notes, fmt.Sprintf("The last %d of %d weeks are shown; “All” is of every week.", len(shown), len(weeks)))
	}
	if n := r.Yield.Uncounted; n > 0 {
		s.Notes = append(s.Notes, count(n, "picking was", "pickings were")+" weighed without counting; their fruit are in no number here.")
	}
	return s
}

// weeksOf are the Mondays from the first week of picking to the last, those without a picking between them too.
func weeksOf(r *report.Season) []crop.Date {
	var first, last crop.Date
	for i := range r.Harvest.Cultivars {
		for _, w := range r.Harvest.Cultivars[i].Weeks {
			if w.Fruits == 0 {
				continue
			}
			if first.IsZero() || w.Monday.Before(first) {
				first = w.Monday
			}
			if w.Monday.After(last) {
				last = w.Monday
			}
		}
	}
	var weeks []crop.Date
	for d := first; !first.IsZero() && !d.After(last); d = d.AddDays(7) {
		weeks = append(weeks, d)
	}
	return weeks
}

// plantWeekSection lists what was picked of one plant, week by week.
func plantWeekSection(r *report.OnePlant) Section {
	s := Section{Heading: "Picked, week by week"}
	var weeks []yield.Week
	for i := range r.Harvest.Plants {
		weeks = r.Harvest.Plants[i].Weeks
	}
	if len(weeks) == 0 {
		s.Empty = "Nothing has been picked from this plant yet."
		return s
	}
	t := &Table{Caption: "Picked in each week", Columns: []Column{{Name: "Week of"},
		{Name: "Picked", Unit: "fruit", Numeric: true}, {Name: "Marketable", Unit: "fruit", Numeric: true}, {Name: "Cull", Unit: "fruit", Numeric: true},
		{Name: "Mass", Unit: "g", Numeric: true}}}
	estimated := false
	for _, w := range weeks {
		t.Rows = append(t.Rows, []string{w.Monday.Words(), whole(w.Fruits), whole(w.Marketable), whole(w.Culls), gramsText(w.Grams)})
		estimated = estimated || w.Grams.Estimated > 0 || w.Grams.Shared()
	}
	s.Table = t
	s.Sentence = "What was picked in each week, from Monday; weeks without a picking are left out."
	if estimated {
		s.Notes = []string{estimatedNote}
	}
	return s
}

// estimatedNote is what gramsText marks.
var estimatedNote = "“≈” marks a mass of which a part is estimated from the mean fruit mass of the same cultivar and stage, or shared out of a common weighing; a " + levelText + " interval of it stands in brackets where one can be given."

// gramsText is a mass in grams, with the interval of what is estimated of it.
func gramsText(g yield.Grams) string {
	switch {
	case g.Missing > 0:
		return "not known"
	case g.Estimated == 0 && !g.Shared():
		return report.Rounded(g.G(), 0)
	}
	text := "≈ " + report.Rounded(g.G(), 0)
	if low, high := g.Interval(); low != nil {
		text += fmt.Sprintf(" (%s – %s)", report.Rounded(*low, 0), report.Rounded(*high, 0))
	}
	return text
}
