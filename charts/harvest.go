package charts

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/analytics/yield"
)

// meanText is a mean with its interval: "36.0 (25.5 – 46.5)".
func meanText(i *yield.Interval, decimals int, factor float64) string {
	switch {
	case i == nil:
		return "–"
	case i.Low == nil:
		return report.Rounded(factor*i.Value, decimals)
	}
	return fmt.Sprintf("%s (%s – %s)", report.Rounded(factor*i.Value, decimals), report.Rounded(factor**i.Low, decimals), report.Rounded(factor**i.High, decimals))
}

// periodSections is the section of the period that was asked for, if one was.
func periodSections(r *report.Season) []Section {
	p := r.Period
	if p == nil {
		return nil
	}
	s := Section{Heading: "In the days " + crop.RangeWords(p.From, p.To)}
	if len(p.Groups) == 0 {
		s.Empty = "Nothing was picked or lost in these days."
		return []Section{s}
	}
	s.Table = &Table{Caption: "Picked and lost in these days", Columns: []Column{{Name: "Cultivar"}, {Name: "Picked", Unit: "fruit", Numeric: true},
		{Name: "Cull", Unit: "fruit", Numeric: true}, {Name: "Mass weighed", Unit: "g", Numeric: true}, {Name: "Weighed", Unit: "fruit", Numeric: true},
		{Name: "Lost or cleared ripe", Unit: "fruit", Numeric: true}, {Name: "Unripe", Unit: "fruit", Numeric: true}}}
	row := func(g report.PeriodGroup) []string {
		return []string{g.Name, whole(g.Picked), whole(g.Culls), report.Rounded(g.MassG, 0), whole(g.Weighed), whole(g.Ripe), whole(g.Unripe)}
	}
	for _, g := range p.Groups {
		s.Table.Rows = append(s.Table.Rows, row(g))
	}
	if len(p.Groups) > 1 {
		s.Table.Rows = append(s.Table.Rows, row(p.All))
	}
	s.Sentence = fmt.Sprintf("In these days %d fruit were picked and %d lost or cleared. Everything below is as of their end and goes back to the season's beginning.", p.All.Picked, p.All.Ripe+p.All.Unripe)
	return []Section{s}
}

func yieldSection(r *report.Season) Section {
	s := Section{Heading: "Yield of a plant, by cultivar"}
	if r.Yield.Fruits == 0 && r.Yield.Uncounted == 0 {
		s.Empty = "Nothing has been picked yet."
		return s
	}
	s.Table = &Table{Caption: "Means over plants, with 90 % intervals in brackets", Columns: []Column{{Name: "Cultivar"}, {Name: "Plants", Numeric: true},
		{Name: "Picked", Unit: "fruit a plant", Numeric: true}, {Name: "Mass", Unit: "g a plant", Numeric: true}, {Name: "Marketable", Unit: "% of fruit", Numeric: true},
		{Name: "First ripe", Unit: "days", Numeric: true}, {Name: "A tenth picked", Unit: "days", Numeric: true}, {Name: "Half", Unit: "days", Numeric: true}, {Name: "Nine tenths", Unit: "days", Numeric: true},
		{Name: "In 28 days", Unit: "fruit a plant", Numeric: true}}, Stack: true}
	if r.PricePerKg != nil {
		s.Table.Columns = append(s.Table.Columns, Column{Name: "Value", Unit: "a plant", Numeric: true})
	}
	estimated := false
	for i := range r.Harvest.Cultivars {
		c := &r.Harvest.Cultivars[i]
		mean := func(i *yield.Interval, decimals int, factor float64) string {
			text := meanText(i, decimals, factor)
			if i != nil && i.N < c.Plants {
				text += fmt.Sprintf(" of %d", i.N)
			}
			return text
		}
		row := []string{c.Cultivar.Name, whole(c.Plants), mean(c.Fruits, 1, 1), mean(c.MassG, 0, 1), mean(c.MarketableShare, 0, 100),
			mean(c.DaysToFirstRipe, 1, 1), mean(c.To10, 1, 1), mean(c.To50, 1, 1), mean(c.To90, 1, 1), mean(c.FirstFourWeeks, 1, 1)}
		if r.PricePerKg != nil {
			row = append(row, mean(c.MarketableG, 2, *r.PricePerKg/1000))
		}
		s.Table.Rows = append(s.Table.Rows, row)
		for _, w := range c.Warnings {
			s.Notes = append(s.Notes, c.Cultivar.Name+": "+w)
		}
	}
	for i := range r.Harvest.Plants {
		estimated = estimated || r.Harvest.Plants[i].Grams.Estimated > 0
	}
	s.Sentence = "What a plant of each cultivar gave, and how soon, as means over plants; the intervals are of the means and hold what sets plants apart."
	notes := []string{"Days count from sowing, or from transplanting or the first count where the sowing isn't on record. Days to a tenth, half and nine tenths are of a plant's final marketable mass, or fruit where it wasn't weighed, so plants that may still bear are not in them; “of 3” says that a mean is of three plants. “First ripe” is the day on which the first ripe fruit was seen, “in 28 days” what was picked in so many from the first picking."}
	if estimated {
		notes = append(notes, "A part of the mass is estimated from the mean fruit mass of the same cultivar and stage, in the same week where it was weighed twice.")
	}
	if r.PricePerKg != nil {
		notes = append(notes, "“Value” is the mass of marketable fruit at "+report.Money(*r.PricePerKg)+" a kilogram.")
	}
	s.Notes = append(notes, s.Notes...)
	return s
}

// MethodsID is the anchor of the section of methods.
const MethodsID = "methods"

// methodSections is a paragraph on methods, to be pasted into a trial report.
func methodSections(r *report.Season) []Section {
	text := r.Methods()
	if text == "" {
		return nil
	}
	return []Section{{ID: MethodsID, Heading: "Methods, to paste", Sentence: text, Notes: report.Works(text)}}
}
