package charts

import (
	"fmt"

	"vinetally/analytics/report"
)

// plantsAheadSection has a week's forecast of every plant as a chart, and more in its table; false of a single plant.
func plantsAheadSection(r *report.Season, links ReportLinks) (Section, bool) {
	plants := r.PlantsAhead()
	if len(plants) < 2 {
		return Section{}, false
	}
	const week = 1 // of report.NamedDays
	on := report.Weekday(r.DayAhead(report.NamedDays[week]))
	f := Ranges{Interval: aheadLevel + " interval", Value: "median", Basis: "the counts of each plant and what all plants of its cultivar tell"}
	panel := RangePanel{Title: "Fruit newly ripe by " + on, Unit: unitFruit}
	t := &Table{Caption: fmt.Sprintf("Fruit newly ripe, by plant (mean, and %s interval)", aheadLevel), Columns: []Column{{Name: "Plant"}, {Name: "Cultivar"}}}
	for _, n := range report.NamedDays {
		t.Columns = append(t.Columns, Column{Name: "By " + report.Weekday(r.DayAhead(n)), Unit: unitFruit, Numeric: true})
	}
	t.Columns = append(t.Columns, Column{Name: "Still to come", Unit: unitFruit, Numeric: true}, Column{Name: "Half of it ripe by"}, Column{Name: "The last by"}, Column{Name: "Next wave from about"})
	for _, p := range plants {
		row := []string{p.Label, p.Cultivar}
		for _, b := range p.By {
			row = append(row, report.Expected(b.Mean, float64(b.Quantiles.Low), float64(b.Quantiles.High)))
		}
		t.Rows = append(t.Rows, append(row, report.Expected(p.ToCome.Mean, float64(p.ToCome.Low), float64(p.ToCome.High)), r.ByDay(p.ToCome.Half), r.ByDay(p.ToCome.Last), r.ByDay(p.ToCome.NextFlush)))
		if links.Plant != nil {
			t.RowLinks = append(t.RowLinks, links.Plant(p.ID.String()))
		}
		q := p.By[week].Quantiles
		panel.Rows = append(panel.Rows, RangeRow{Name: p.Label, Low: float64(q.Low), Value: float64(q.Median), High: float64(q.High)})
	}
	f.Panels = []RangePanel{panel}
	s := Section{Heading: "What will be ripe, by plant", Figure: f, Table: t, Sentence: fmt.Sprintf("How many fruit of each plant become ripe by %s: the median and the %s interval.", on, aheadLevel)}
	s.Notes = []string{stillToComeNote + " Plants without such fruit aren't listed."}
	return s, true
}
