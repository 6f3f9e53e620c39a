package charts

import (
	"fmt"

	"vinetally/analytics/report"
)

const fitHeading = "How well the counts fit"

// fitSections are how a season's counts fit the ripening model, by cultivar; none without counts beyond the first ones.
func fitSections(r *report.Season) []Section {
	all := r.CultivarFits()
	if len(all) == 0 {
		return nil
	}
	t := &Table{Caption: "Counts but the first of each plant, and how far they are from what was expected", Columns: []Column{{Name: "Cultivar"}, {Name: "Counts", Numeric: true}, {Name: "Far off", Unit: "counts", Numeric: true},
		{Name: "Squared deviation a number", Unit: "up to 1 is usual", Numeric: true}}, Stack: true}
	for _, c := range all {
		t.Rows = append(t.Rows, []string{c.Cultivar, whole(c.Counts), whole(c.Unlikely), report.Rounded(c.Squared/float64(c.Numbers), 2)})
	}
	return []Section{{Heading: fitHeading, Sentence: r.FitSentence(), Table: t,
		Notes: []string{"The squared deviation is in standard deviations; one slip may make it large. A plant's report has its counts one by one. " + report.FitWords}}}
}

// plantFitSections are the same of a plant, count by count.
func plantFitSections(r *report.OnePlant) []Section {
	all := r.CountFits()
	if len(all) == 0 {
		return nil
	}
	stages := r.Plant.Book.Scale[:r.Plant.Book.Ripe+1]
	t := &Table{Caption: "Fruit seen at each count, and in brackets what was expected give or take its standard deviation", Stack: true, Columns: []Column{{Name: "Counted"}}}
	for _, name := range stages {
		t.Columns = append(t.Columns, Column{Name: title(name), Numeric: true})
	}
	t.Columns = append(t.Columns, Column{Name: "Chance of so far off", Unit: "%", Numeric: true})
	for i := range all {
		row := []string{all[i].CountedAt.Words()}
		for _, name := range stages {
			row = append(row, seenFit(all[i].Of(name)))
		}
		t.Rows = append(t.Rows, append(row, report.Rounded(100*all[i].Chance(), 0)))
	}
	return []Section{{Heading: fitHeading, Sentence: r.FitSentence(), Table: t,
		Notes: []string{"The first count isn't in it, since nothing came before. The chance is of all stages together, and rough where few fruit are expected. " + report.FitWords}}}
}

// seenFit is what was seen and expected; a dash where it wasn't counted.
func seenFit(n report.NumberFit, counted bool) string {
	if !counted {
		return "–"
	}
	return fmt.Sprintf("%s (%s ± %s)", report.Rounded(n.Seen, 0), report.Rounded(n.Expected, 1), report.Rounded(n.SD, 1))
}
