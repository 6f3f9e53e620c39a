package charts

import (
	"fmt"
	"slices"

	"vinetally/analytics/report"
)

const (
	fitHeading    = "How well the counts fit"
	misfitHeading = "Counts that fit least"
)

// fitSections are how a season's counts fit the ripening model, by cultivar, and those that don't; none without counts beyond the first ones.
func fitSections(r *report.Season, links ReportLinks) []Section {
	all := r.CultivarFits()
	if len(all) == 0 {
		return nil
	}
	t := &Table{Caption: "Counts but the first of each plant, and how far they are from what was expected", Stack: true, Columns: []Column{{Name: "Cultivar"}, {Name: "Counts", Numeric: true},
		{Name: "Far off", Unit: "counts", Numeric: true}, {Name: "Squared deviation a number", Numeric: true}}}
	for _, c := range all {
		t.Rows = append(t.Rows, []string{c.Cultivar, whole(c.Counts), whole(c.Unlikely), report.Rounded(c.Squared/float64(c.Numbers), 2)})
	}
	s := Section{Heading: fitHeading, Sentence: r.FitSentence(), Table: t,
		Notes: []string{"The squared deviation is in standard deviations, on average of all numbers counted: up to 1 if the records agree. One slip may make it large. " + report.ExpectedWords}}
	if misfits, ok := misfitSection(r, links); ok {
		return []Section{s, misfits}
	}
	return []Section{s}
}

// misfitSection lists the counts of a season that are far off; false where there are none.
func misfitSection(r *report.Season, links ReportLinks) (Section, bool) {
	all := r.Misfits()
	if len(all) == 0 {
		return Section{}, false
	}
	const most = 20
	t := &Table{Caption: "The number that is furthest off of each of these counts, the least likely count first", Stack: true, Columns: []Column{{Name: "Plant"}, {Name: "Counted"}, {Name: "Stage"},
		{Name: "Seen", Unit: unitFruit, Numeric: true}, {Name: "Expected", Unit: unitFruit, Numeric: true}, {Name: "Give or take", Unit: unitFruit, Numeric: true}, {Name: "Chance of being so far off", Unit: "%", Numeric: true}}}
	for _, x := range all[:min(most, len(all))] {
		n := x.Furthest()
		t.Rows = append(t.Rows, []string{x.Plant, x.CountedAt.Words(), stageOrAll(n.Stage), report.Rounded(n.Seen, 0), report.Rounded(n.Expected, 1), report.Rounded(n.SD, 1), percentage(x.Chance)})
		if links.Plant != nil {
			t.RowLinks = append(t.RowLinks, links.Plant(x.PlantID.String()))
		}
	}
	s := Section{Heading: misfitHeading, Table: t, Sentence: count(len(all), "count has a chance below 5 %.", "counts have a chance below 5 % each.")}
	if n := len(all) - most; n > 0 {
		s.Notes = append(s.Notes, count(n, "more count isn't listed.", "more counts aren't listed."))
	}
	s.Notes = append(s.Notes, "The chance is of a count so far off in all stages together, and rough where few fruit are expected. "+report.MisfitWords+" “Records that weren't expected” are those that are much further still from what came before them alone.")
	return s, true
}

// plantFitSections are the counts of a plant, one by one.
func plantFitSections(r *report.OnePlant) []Section {
	all := r.CountFits()
	if len(all) == 0 {
		return nil
	}
	stages := slices.Clone(r.Plant.Book.Scale[:r.Plant.Book.Ripe+1])
	t := &Table{Caption: "Fruit seen at each count, and in brackets what was expected, give or take its standard deviation", Stack: true, Columns: []Column{{Name: "Counted"}}}
	for _, name := range stages {
		t.Columns = append(t.Columns, Column{Name: title(name), Numeric: true})
	}
	for i := range all {
		if _, together := all[i].Of(""); together {
			stages = append(stages, "")
			t.Columns = append(t.Columns, Column{Name: "All together", Numeric: true})
			break
		}
	}
	t.Columns = append(t.Columns, Column{Name: "Chance of being so far off", Unit: "%", Numeric: true})
	for i := range all {
		row := []string{all[i].CountedAt.Words()}
		for _, name := range stages {
			row = append(row, seenFit(all[i].Of(name)))
		}
		t.Rows = append(t.Rows, append(row, percentage(all[i].Chance)))
	}
	beyond := ""
	if ripe := r.Plant.Book.Ripe; len(r.Plant.Book.Scale) > ripe+1 {
		beyond = " " + title(r.Plant.Book.Scale[ripe]) + " has the fruit of the stages after it too."
	}
	return []Section{{Heading: fitHeading, Sentence: r.FitSentence(), Table: t, Notes: []string{
		report.ExpectedWords + " Numbers are of the trusses that were looked at; a dash stands where there is none, or but a lower bound." + beyond + " The chance is of a count so far off in all stages together, and rough where few fruit are expected.",
		report.MisfitWords + " The first count isn't in it, since nothing came before, nor is one after 60 days without a record, nor one that gives but lower bounds.",
	}}}
}

// seenFit is what was seen and expected; a dash where there is no number.
func seenFit(n report.NumberFit, counted bool) string {
	if !counted {
		return "–"
	}
	return fmt.Sprintf("%s (%s ± %s)", report.Rounded(n.Seen, 0), report.Rounded(n.Expected, 1), report.Rounded(n.SD, 1))
}

// percentage writes a chance in whole hundredths.
func percentage(chance float64) string {
	if chance < 0.005 {
		return "below 1"
	}
	return report.Rounded(100*chance, 0)
}
