package charts

import (
	"fmt"
	"strings"

	"vinetally/analytics/crop"
	"vinetally/analytics/phenology"
	"vinetally/analytics/report"
	"vinetally/analytics/yield"
)

// mostLifelines is how many plants a season's report lists the milestones of; every plant's own report has them.
const mostLifelines = 100

var lifeline = []struct {
	name phenology.Name
	head string
}{
	{phenology.Sown, "Sown"}, {phenology.Emerged, "Emerged"}, {phenology.Transplanted, "Transplanted"}, {phenology.FirstBud, "First bud"},
	{phenology.FirstFlower, "First flower"}, {phenology.FirstFruit, "First fruit"}, {phenology.FirstColour, "First colour"}, {phenology.FirstRipe, "First ripe"},
	{phenology.FirstPicked, "First picked"}, {phenology.LastPicked, "Last picked"}, {phenology.Removed, "Removed"},
}

func milestoneSection(r *report.Season, links ReportLinks) Section {
	s := Section{Heading: "Milestones"}
	plants := r.Harvest.Plants
	if len(plants) > mostLifelines {
		s.Empty = fmt.Sprintf("With %d plants the milestones stand in each plant's own report.", len(plants))
		return s
	}
	figure := timelineOf(plants, r)
	if len(figure.Rows) == 0 {
		s.Empty = "No milestone is on record yet."
		return s
	}
	s.Figure, s.Sentence, s.Table = figure, timelineWords(plants), milestoneTable(plants)
	if links.Plant != nil {
		for i := range plants {
			s.Table.RowLinks = append(s.Table.RowLinks, links.Plant(plants[i].Records.Plant.ID.String()))
		}
	}
	s.Notes = milestoneNotes(plants)
	return s
}

// lifeSection draws the milestones of one plant, and lists them one a row.
func lifeSection(r *report.OnePlant) Section {
	s := Section{Heading: "Milestones"}
	plants := r.Harvest.Plants
	figure := timelineOf(plants, r.Season)
	if len(figure.Rows) == 0 {
		s.Empty = "No milestone is on record yet."
		return s
	}
	p := &plants[0]
	t := &Table{Caption: "When it was first so", Stack: true, Columns: []Column{{Name: "Milestone"}, {Name: "Day"}, {Name: "Told by"}}}
	for _, l := range lifeline {
		for _, m := range p.Milestones {
			if m.Name == l.name {
				t.Rows = append(t.Rows, []string{l.head, milestoneText(p, l.name, false), m.From})
			}
		}
	}
	if day := lastCount(p); day != nil {
		t.Rows = append(t.Rows, []string{"Last count", day.Words(), "a count"})
	}
	for _, m := range p.Records.Plant.Moves {
		t.Rows = append(t.Rows, []string{"Moved", m.On.Words(), "to " + placeNamed(r.Season, m.PlaceID)})
	}
	for _, stage := range p.Stages {
		t.Rows = append(t.Rows, []string{fmt.Sprintf("BBCH %02d", stage.Code), stage.Words, stage.From})
	}
	s.Figure, s.Sentence, s.Table, s.Notes = figure, timelineWords(plants), t, milestoneNotes(plants)
	return s
}

func milestoneNotes(plants []yield.Plant) []string {
	notes := []string{"A day in brackets is the last on which somebody looked and it was not so yet. “BBCH” is the furthest growth stage by the BBCH scale for tomato (Feller and others 1995): 71 with the first fruit, 81 to 89 by the tenths of all fruit formed so far that had ripened, picked ones included, 99 when the plant is gone and fruit was picked from it, 97 when it is gone and none was."}
	for i := range plants {
		for _, w := range plants[i].Warnings {
			if isMilestoneWarning(w) {
				notes = append(notes, plants[i].Records.Plant.Label+": "+w)
			}
		}
	}
	return notes
}

// milestoneTable has a column for each milestone that any of the plants has. Days of one year go without it; the column says it.
func milestoneTable(plants []yield.Plant) *Table {
	t := &Table{Caption: "When it was first so, by plant", Columns: []Column{{Name: "Plant"}, {Name: "BBCH", Numeric: true}}}
	seen, years, moved, counted := map[phenology.Name]bool{}, map[int]bool{}, false, false
	for i := range plants {
		for _, m := range plants[i].Milestones {
			seen[m.Name], years[m.On.Year] = true, true
		}
		if day := lastCount(&plants[i]); day != nil {
			counted, years[day.Year] = true, true
		}
		for _, m := range plants[i].Records.Plant.Moves {
			moved, years[m.On.Year] = true, true
		}
	}
	year, short := "", len(years) == 1
	for y := range years {
		if short {
			year = whole(y)
		}
	}
	column := func(name string) { t.Columns = append(t.Columns, Column{Name: name, Unit: year}) }
	for _, l := range lifeline {
		if seen[l.name] {
			column(l.head)
		}
	}
	if counted {
		column("Last count")
	}
	if moved {
		column("Moved")
	}
	for i := range plants {
		p := &plants[i]
		code := "–"
		if stage := phenology.Furthest(p.Stages); stage != nil {
			code = fmt.Sprintf("%02d", stage.Code)
		}
		row := []string{p.Records.Plant.Label, code}
		for _, l := range lifeline {
			if seen[l.name] {
				row = append(row, milestoneText(p, l.name, short))
			}
		}
		if counted {
			row = append(row, dayText(lastCount(p), short))
		}
		if moved {
			row = append(row, movesText(p, short))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func dayText(d *crop.Date, short bool) string {
	switch {
	case d == nil:
		return "–"
	case short:
		return shortDay(*d)
	}
	return d.Words()
}

func movesText(p *yield.Plant, short bool) string {
	var days []string
	for _, m := range p.Records.Plant.Moves {
		days = append(days, dayText(&m.On, short))
	}
	if len(days) == 0 {
		return "–"
	}
	return strings.Join(days, ", ")
}

func milestoneText(p *yield.Plant, name phenology.Name, short bool) string {
	for _, m := range p.Milestones {
		if m.Name != name {
			continue
		}
		if m.After != nil {
			return fmt.Sprintf("%s (%s)", dayText(&m.On, short), shortDay(*m.After))
		}
		return dayText(&m.On, short)
	}
	return "–"
}

// shortDay is a day without its year, beside one that has it.
func shortDay(d crop.Date) string {
	words := d.Words()
	return words[:strings.LastIndexByte(words, ' ')]
}
