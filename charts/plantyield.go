package charts

import (
	"strings"

	"vinetally/analytics/report"
	"vinetally/analytics/yield"
)

// plantYieldSection is what one plant gave and how soon.
func plantYieldSection(r *report.OnePlant) Section {
	s := Section{Heading: "What it gave"}
	if len(r.Harvest.Plants) == 0 || r.Plant.Tally.Fruits == 0 && r.Plant.Tally.Uncounted == 0 {
		s.Empty = "Nothing has been picked from this plant yet."
		return s
	}
	p := &r.Harvest.Plants[0]
	s.Table = &Table{Caption: "Picked so far, and by when", Stack: true, Columns: []Column{{Name: "Plant"}, {Name: "Picked", Unit: "fruit", Numeric: true},
		{Name: "Marketable", Unit: "fruit", Numeric: true}, {Name: "Cull", Unit: "fruit", Numeric: true}, {Name: "Mass", Unit: "g", Numeric: true},
		{Name: "Mean mass of a ripe marketable fruit", Unit: "g", Numeric: true}, {Name: "First ripe", Unit: "days"},
		{Name: "A tenth, half, nine tenths picked", Unit: "days"}, {Name: "In 28 days", Unit: "fruit", Numeric: true}}}
	row := []string{p.Records.Plant.Label, whole(p.Tally.Fruits), whole(p.Tally.Marketable), whole(p.Tally.Culls), plantMass(r.Plant, p.Grams),
		"–", firstText(p.FirstRipe), "–", "–"}
	if g, _, ok := p.Tally.RipeFruitMassG(); ok {
		row[5] = report.Rounded(g, 1)
	}
	if p.To10 != nil && p.To50 != nil && p.To90 != nil {
		row[7] = report.Days(*p.To10) + ", " + report.Days(*p.To50) + ", " + report.Days(*p.To90)
	}
	if p.FirstFourWeeks != nil {
		row[8] = whole(p.FirstFourWeeks.Fruits)
	}
	if r.PricePerKg != nil {
		s.Table.Columns = append(s.Table.Columns, Column{Name: "Value", Numeric: true})
		row = append(row, report.ValueText(p.Marketable, *r.PricePerKg))
	}
	s.Table.Rows = [][]string{row}
	if p.DaysFrom != "" {
		s.Notes = append(s.Notes, "Days count from "+p.DaysFrom+". “First ripe” is the day on which the first ripe fruit was seen, in brackets the last on which somebody looked and there was none.")
	}
	if p.ShareOf != "" {
		s.Notes = append(s.Notes, "A tenth, half and nine tenths are of its final "+p.ShareOf+".")
	}
	if p.Grams.Estimated > 0 || p.Grams.Shared() {
		s.Notes = append(s.Notes, estimatedNote)
	}
	for _, w := range p.Warnings {
		if !isMilestoneWarning(w) {
			s.Notes = append(s.Notes, w)
		}
	}
	return s
}

// firstText is the day by which something was first seen, and in brackets the last day on which it was seen not to be so.
func firstText(d *yield.Days) string {
	switch {
	case d == nil:
		return "–"
	case d.Low == nil:
		return report.Days(d.High)
	}
	return report.Days(d.High) + " (" + report.Days(*d.Low) + ")"
}

// isMilestoneWarning tells of a warning that stands with the milestones.
func isMilestoneWarning(w string) bool { return strings.Contains(w, "one of the two days is wrong") }
