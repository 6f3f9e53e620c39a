package charts

import (
	"fmt"
	"math"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/analytics/yield"
)

func pickedSection(r *report.Season) Section {
	s := Section{Heading: "Picked so far, by cultivar"}
	if r.Yield.Fruits == 0 && r.Yield.Uncounted == 0 {
		s.Empty = "Nothing has been picked yet."
		return s
	}
	figure := Cumulative{Title: "Fruit picked so far", Unit: "fruit", Basis: fmt.Sprintf("%s, marketable and cull", count(len(r.Trial.Pickings), "picking", "pickings"))}
	s.Table = &Table{Caption: "Fruit and mass picked, by cultivar", Columns: []Column{{Name: "Cultivar"}, {Name: "Plants", Numeric: true},
		{Name: "Picked", Unit: "fruit", Numeric: true}, {Name: "Per plant", Unit: "fruit", Numeric: true}, {Name: "Cull", Unit: "fruit", Numeric: true},
		{Name: "Picked unripe", Unit: "fruit", Numeric: true}, {Name: "Weighed", Unit: "fruit", Numeric: true}, {Name: "Mass weighed", Unit: "g", Numeric: true},
		{Name: "Mean mass of a ripe marketable fruit", Unit: "g", Numeric: true}, {Name: "Mean of"}}}
	for i := range r.Yield.Cultivars {
		g := &r.Yield.Cultivars[i]
		s.Table.Rows = append(s.Table.Rows, pickedRow(g.Cultivar.Name, g.Plants, g.Tally))
		line := YieldLine{Name: g.Cultivar.Name}
		sum := 0
		for _, d := range g.Days {
			sum += d.Fruits
			line.Points = append(line.Points, Point{At: d.On.Noon(r.AsOf.Location()), Value: float64(sum)})
		}
		if len(line.Points) > 0 {
			figure.Groups = append(figure.Groups, line)
			figure.Plants = append(figure.Plants, plantLines(r, g.Cultivar.ID, len(figure.Groups)-1)...)
		}
	}
	all := pickedRow("All", r.Totals.Plants, r.Yield.Tally)
	if len(r.Yield.Cultivars) > 1 { // a mean over several cultivars tells of their shares in the picking
		all[len(all)-2], all[len(all)-1] = "–", "–"
	}
	s.Table.Rows = append(s.Table.Rows, all)
	s.Sentence = fmt.Sprintf("Fruit picked so far, added up by cultivar: %d in all.", r.Yield.Fruits)
	s.Notes = []string{"Cultivars with more plants give more; compare the fruit per plant in the table. The mean mass is of ripe marketable fruit that were weighed and counted with no others; it describes those fruit, and often falls through a season, so look at its days too."}
	if r.Yield.MassEstimated {
		s.Notes = append(s.Notes, "“≈” marks a mass of which a part was shared out of a common weighing, by the number of fruit.")
	}
	if len(figure.Groups) > 0 {
		s.Figure = figure
	}
	return s
}

// mostPlantLines is how many plants are drawn one by one; more would be a smear.
const mostPlantLines = 48

// plantLines are the sums of the single plants of a cultivar, whose line is that of group.
func plantLines(r *report.Season, cultivar crop.ID, group int) []PlantLine {
	if len(r.Plants) > mostPlantLines {
		return nil
	}
	var out []PlantLine
	for i := range r.Plants {
		p := &r.Plants[i]
		if p.Records.Plant.CultivarID != cultivar {
			continue
		}
		line, sum := YieldLine{Name: p.Records.Plant.Label}, 0
		for j := range p.Records.Pickings {
			pick := &p.Records.Pickings[j]
			if pick.Fruits == nil {
				continue
			}
			sum += *pick.Fruits
			at := pick.PickedAt.LocalDate().Noon(r.AsOf.Location())
			if n := len(line.Points); n > 0 && line.Points[n-1].At.Equal(at) {
				line.Points[n-1].Value = float64(sum)
				continue
			}
			line.Points = append(line.Points, Point{At: at, Value: float64(sum)})
		}
		if len(line.Points) > 0 {
			out = append(out, PlantLine{line, group})
		}
	}
	return out
}

func pickedRow(name string, plants int, t yield.Tally) []string {
	each, mass, of := "–", "–", "–"
	if plants > 0 {
		each = report.Rounded(float64(t.Fruits)/float64(plants), 1)
	}
	if g, fruits, ok := t.RipeFruitMassG(); ok {
		mass = report.Rounded(g, 1)
		of = fmt.Sprintf("%d fruit, %s", fruits, crop.RangeWords(t.RipeFruitDays()))
	}
	return []string{name, whole(plants), whole(t.Fruits), each, whole(t.Culls), whole(t.Unripe), whole(t.Weighed), massText(t), mass, of}
}

// massText is the mass weighed in grams, marked where part of it was shared out of a common weighing.
func massText(t yield.Tally) string {
	switch {
	case t.MassG == 0 && t.Weighed == 0 && t.Uncounted == 0:
		return "–"
	case t.MassEstimated:
		return "≈ " + numberText(math.Round(t.MassG))
	}
	return numberText(math.Round(t.MassG))
}
