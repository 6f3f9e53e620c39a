package charts

import (
	"vinetally/analytics/report"
	"vinetally/analytics/waste"
	"vinetally/analytics/yield"
)

// wasteSections is what of the ripe fruit was wasted, and beside it what is in no sum of it; nothing while nothing ripened.
func wasteSections(r *report.Season) []Section {
	w := &r.Harvest.Waste
	words := r.WasteWords()
	if words == "" {
		return nil
	}
	s := Section{Heading: "Waste, by cultivar", Sentence: words}
	s.Table = &Table{Caption: "Ripe fruit that came to no use, and what stands beside it", Stack: true, Columns: []Column{{Name: "Cultivar"}, {Name: "Plants", Numeric: true},
		{Name: "Ripened", Unit: "fruit", Numeric: true}, {Name: "Lost ripe", Unit: "fruit", Numeric: true}, {Name: "Mass lost ripe", Unit: "g", Numeric: true},
		{Name: "Ripe culls", Unit: "fruit", Numeric: true}, {Name: "Wasted", Unit: "fruit", Numeric: true}, {Name: "Wasted", Unit: "% of ripened", Numeric: true},
		{Name: "Taken unripe", Unit: "fruit", Numeric: true}, {Name: "Unripe at removal", Unit: "fruit", Numeric: true},
		{Name: "Fewer than expected", Unit: "fruit", Numeric: true}, {Name: "Past ripe now", Unit: "fruit", Numeric: true}}}
	for i := range w.Cultivars {
		c := &w.Cultivars[i]
		s.Table.Rows = append(s.Table.Rows, wasteRow(c.Cultivar.Name, c.Plants, &c.Sum, c.Share))
	}
	if len(w.Cultivars) > 1 {
		s.Table.Rows = append(s.Table.Rows, wasteRow("All", len(w.Plants), &w.Sum, w.Share))
	}
	s.Notes = []string{
		"“Wasted” is fruit lost ripe by a cause other than thinning and clearing, and ripe culls; its share is of all fruit that ripened, with a " + levelText + " interval over plants from four on. “Ripened” is ripe fruit picked, lost and standing.",
		"What was taken unripe, was left unripe at a removal, is fewer than expected or hangs past ripe for certain is in no sum of the waste.",
	}
	if w.LostG.Estimated > 0 {
		s.Notes = append(s.Notes, "Nobody weighs what is lost: “≈” marks a mass estimated from the mean fruit mass of the same cultivar and stage, with its "+levelText+" interval.")
	}
	return []Section{s}
}

func wasteRow(name string, plants int, w *waste.Sum, share *waste.Share) []string {
	mass := "–"
	if w.LostRipe() > 0 {
		mass = gramsText(w.LostG)
	}
	part := "–"
	if share != nil {
		part = meanText(&yield.Interval{Value: share.Value, Low: share.Low, High: share.High}, 0, 100)
	}
	return []string{name, whole(plants), whole(w.Ripened), whole(w.LostRipe()), mass, whole(w.RipeCulls), whole(w.Wasted), part,
		whole(w.PickedUnripe), wholeOr(w.UnripeAtEnd, "not known"), whole(w.Unaccounted), whole(w.PastRipe)}
}
