package charts

import (
	"fmt"
	"strings"

	"vinetally/analytics/report"
)

func standingSection(r *report.Season, s *report.Standing, several bool) Section {
	section := Section{Heading: "Standing fruit by ripeness"}
	if several {
		section.Heading += fmt.Sprintf(": scale “%s”", s.Scale.Name)
	}
	figure := StageAreas{Basis: countsText(s)}
	for _, stage := range s.Scale.Stages {
		figure.Stages = append(figure.Stages, Stage{Name: stage.Name, Ripe: stage.Name == s.Scale.RipeStage})
	}
	table := &Table{Caption: section.Heading + ", day by day", Columns: []Column{{Name: "Day"}}}
	for _, stage := range s.Scale.Stages {
		table.Columns = append(table.Columns, Column{Name: stage.Name, Unit: "fruit", Numeric: true})
	}
	table.Columns = append(table.Columns, Column{Name: "picked", Unit: "fruit", Numeric: true}, Column{Name: "lost", Unit: "fruit", Numeric: true},
		Column{Name: "plants counted", Numeric: true})
	for _, d := range s.Days {
		at := d.On.Noon(r.AsOf.Location())
		visit := StageVisit{At: at}
		row := []string{d.On.Words()}
		visit.AtLeast = make([]bool, len(d.ByStage))
		for i, n := range d.ByStage {
			if n == nil && d.BoundShown(i) {
				n, visit.AtLeast[i] = &d.AtLeast[i], true
			}
			visit.Standing = append(visit.Standing, number(n))
			row = append(row, standsText(&d, i))
		}
		figure.Visits = append(figure.Visits, visit)
		if d.Visited > 0 {
			figure.Marks = append(figure.Marks, Mark{At: at, Kind: Counted, Detail: count(d.Visited, "plant", "plants")})
		}
		if d.Picked > 0 {
			figure.Marks = append(figure.Marks, Mark{At: at, Kind: Picked, Fruits: new(float64(d.Picked))})
		}
		if d.Lost > 0 {
			figure.Marks = append(figure.Marks, Mark{At: at, Kind: Lost, Fruits: new(float64(d.Lost))})
		}
		table.Rows = append(table.Rows, append(row, whole(d.Picked), whole(d.Lost), whole(d.Visited)))
	}
	section.Sentence = "Fruit standing at the end of each day by ripeness stage, with pickings, losses and days of counts marked below; " + standingAt(s, &s.Days[len(s.Days)-1])
	section.Figure, section.Table = figure, table
	section.Notes = []string{"Each plant enters as it was last counted, less what was recorded as taken since. A plant that has not been counted yet is not in the sum, so the sum also grows as plants are first counted. Where a plant's count left a stage out, was of a part or given up, or fruit was taken without counting it or without saying from which plant, only a lower bound of that stage's sum (“≥”) is known until the next count; where more than a fifth of the plants leave it open, the chart has a gap."}
	if r.Totals.Plants == 1 {
		section.Notes = []string{"Between counts the plant stands as it was last counted, less what was recorded as taken since."}
	}
	return section
}

// standingAt says what stood at the end of a day, stage by stage; stages without fruit are left out.
func standingAt(s *report.Standing, d *report.StandingDay) string {
	var parts []string
	known := 0
	for i, stage := range s.Scale.Stages {
		n := d.ByStage[i]
		switch {
		case n == nil && d.AtLeast[i] > 0:
			known++
			parts = append(parts, fmt.Sprintf("at least %d %s", d.AtLeast[i], stage.Name))
		case n == nil:
			parts = append(parts, "an unknown number of "+stage.Name)
		default:
			known++
			if *n > 0 {
				parts = append(parts, fmt.Sprintf("%d %s", *n, stage.Name))
			}
		}
	}
	switch {
	case d.Counted == 0:
		return fmt.Sprintf("by %s nothing had been counted, so what stood isn't known.", d.On.Words())
	case known == 0:
		return fmt.Sprintf("on %s how many stood at each stage isn't known: the last counts left it open.", d.On.Words())
	case len(parts) == 0:
		return fmt.Sprintf("on %s none stood.", d.On.Words())
	case len(parts) == 1:
		return fmt.Sprintf("on %s there stood %s.", d.On.Words(), parts[0])
	}
	return fmt.Sprintf("on %s there stood %s and %s.", d.On.Words(), strings.Join(parts[:len(parts)-1], ", "), parts[len(parts)-1])
}

// standsText is what stood at a stage at the end of a day, or its lower bound.
func standsText(d *report.StandingDay, stage int) string {
	if d.ByStage[stage] == nil && d.AtLeast[stage] > 0 {
		return "≥ " + whole(d.AtLeast[stage])
	}
	return wholeOr(d.ByStage[stage], "not known")
}

// countsText is how many counts were made, on how many days.
func countsText(s *report.Standing) string {
	counts, days := 0, 0
	for _, d := range s.Days {
		counts += d.Visited
		if d.Visited > 0 {
			days++
		}
	}
	if counts == 0 {
		return "what was picked and lost, and on no count"
	}
	return fmt.Sprintf("%s on %s", count(counts, "count", "counts"), count(days, "day", "days"))
}
