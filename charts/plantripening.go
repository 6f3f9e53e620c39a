package charts

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/report"
)

// plantRipeningSections lists when half of each plant's fruit was ripe, by its own counts and drawn towards its cultivar's; nothing where no
// plant's counts carry a curve.
func plantRipeningSections(r *report.Season, links ReportLinks) []Section {
	unit := "days"
	if r.PlantCurves.Clock == curve.ThermalClock {
		unit = "standard days"
	}
	s := Section{Heading: "When each plant's fruit ripened"}
	s.Table = &Table{Caption: fmt.Sprintf("By when half of what ripened was ripe (%s intervals in brackets)", levelText), Stack: true, Columns: []Column{{Name: "Plant"}, {Name: "Cultivar"},
		{Name: "By its own counts"}, {Name: "Drawn towards its cultivar's"}, {Name: "The same", Unit: unit, Numeric: true}, {Name: "Own counts weigh", Unit: "%", Numeric: true},
		{Name: "Fruit", Numeric: true}}}
	drawn := false
	for i := range r.PlantCurves.Curves {
		c := &r.PlantCurves.Curves[i]
		if c.T50 == nil || r.RipeStage(c.CultivarID) != c.Stage {
			continue
		}
		row := []string{c.Plant, c.Cultivar, crossingWords(c.T50), "–", "–", "–", whole(c.RestsOn.Fruits)}
		if d := c.Shrunken; d != nil {
			drawn = true
			row[3] = crop.DateOf(d.At).Words()
			row[4] = fmt.Sprintf("%s (%s – %s)", report.Rounded(d.Days, 1), report.Rounded(d.Low, 1), report.Rounded(d.High, 1))
			row[5] = report.Rounded(100*d.OwnWeight, 0)
		}
		s.Table.Rows = append(s.Table.Rows, row)
		if links.Plant != nil {
			s.Table.RowLinks = append(s.Table.RowLinks, links.Plant(c.PlantID.String()))
		}
	}
	n := len(s.Table.Rows)
	if n == 0 {
		return nil
	}
	s.Sentence = fmt.Sprintf("The counts of %s carry a curve of its ripe fruit", count(n, "plant", "plants"))
	if n > 1 {
		s.Sentence = fmt.Sprintf("The counts of %d plants carry a curve of their ripe fruit", n)
	}
	if left := r.Totals.Counted - n; left > 0 {
		s.Sentence += fmt.Sprintf(", those of %d don't: each plant's own report says why", left)
	}
	s.Sentence += "."
	if drawn {
		s.Notes = []string{"What a few fruit tell of one plant is partly chance, so its day is drawn towards the mean of its cultivar's plants, the more so the less its own counts tell and the more alike the plants are (empirical Bayes; Morris 1983). " +
			"A dash is where fewer than four plants of the cultivar have such a day. “The same” counts from the plant's first day."}
	}
	return []Section{s}
}
