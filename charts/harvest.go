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
		{Name: "First ripe", Unit: "days", Numeric: true}, {Name: "Half picked", Unit: "days", Numeric: true}, {Name: "A tenth, nine tenths", Unit: "days", Numeric: true},
		{Name: "In 28 days", Unit: "fruit a plant", Numeric: true}}, Stack: true}
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
		s.Table.Rows = append(s.Table.Rows, []string{c.Cultivar.Name, whole(c.Plants), mean(c.Fruits, 1, 1), mean(c.MassG, 0, 1),
			mean(c.MarketableShare, 0, 100), mean(c.DaysToFirstRipe, 1, 1), mean(c.To50, 1, 1), bothMeans(c.To10, c.To90),
			mean(c.FirstFourWeeks, 1, 1)})
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
	s.Notes = append(notes, s.Notes...)
	return s
}

// bothMeans is two means without their intervals, which the answer for scripts has.
func bothMeans(a, b *yield.Interval) string {
	if a == nil || b == nil {
		return "–"
	}
	return report.Rounded(a.Value, 1) + ", " + report.Rounded(b.Value, 1)
}

func germinationSection(r *report.Season) Section {
	s := Section{Heading: "How the seed came up"}
	if len(r.Harvest.Lots) == 0 {
		s.Empty = "No germination count is on record."
		return s
	}
	s.Table = &Table{Caption: "Emergence of each lot, with 90 % intervals", Columns: []Column{{Name: "Cultivar"}, {Name: "Lot"}, {Name: "Sown"},
		{Name: "Seeds", Numeric: true}, {Name: "Came up", Numeric: true}, {Name: "Share", Unit: "%", Numeric: true}, {Name: "Mean time", Unit: "days", Numeric: true},
		{Name: "Half by", Unit: "days"}, {Name: "Spread", Unit: "days", Numeric: true}, {Name: "None of two seeds", Unit: "%", Numeric: true}}, Stack: true}
	seeds, up := 0, 0
	for i := range r.Harvest.Lots {
		l := &r.Harvest.Lots[i]
		seeds, up = seeds+l.Seeds, up+l.Emerged
		mean, half, spread := "–", "–", "–"
		if l.Indices.MeanTime != nil {
			mean = fmt.Sprintf("%s (%s – %s)", report.Rounded(*l.Indices.MeanTime, 1), report.Rounded(l.MeanBetween.Low, 1), report.Rounded(l.MeanBetween.High, 1))
			half = fmt.Sprintf("%s – %s", report.Rounded(l.HalfBetween.Low, 0), report.Rounded(l.HalfBetween.High, 0))
		}
		if sd := l.Spread(); sd != nil {
			spread = report.Rounded(*sd, 1)
		}
		share, none := "not known", "–"
		if l.Known {
			share = fmt.Sprintf("%s (%s – %s)", report.Rounded(100*l.Share, 0), report.Rounded(100*l.Interval.Low, 0), report.Rounded(100*l.Interval.High, 0))
			none = fmt.Sprintf("%s (≤ %s)", report.Rounded(100*l.Spots[1].Empty, 0), report.Rounded(100*l.Spots[1].EmptyHigh, 0))
		}
		lot := l.Lot
		if lot == "" {
			lot = "–"
		}
		s.Table.Rows = append(s.Table.Rows, []string{l.Cultivar, lot, l.SownOn.Words(), whole(l.Seeds), whole(l.Emerged),
			share, mean, half, spread, none})
	}
	s.Sentence = fmt.Sprintf("%d of %d seeds came up, in %s.", up, seeds, count(len(r.Harvest.Lots), "lot", "lots"))
	s.Notes = []string{"The interval of the share is Wilson's. Mean time is by the days of the counts; in brackets, between which days it lies, since what is seen at a count came up since the one before. “None of two seeds” is the chance that a spot with two seeds stays empty, if each comes up or not by itself; seeds of one spot share water and warmth, so both are rather too sure."}
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
