package charts

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
)

func pastRipeSection(r *report.Season, links ReportLinks) Section {
	s := Section{Heading: "Past ripe, by plant"}
	if len(r.Plants) == 0 {
		s.Empty = "There are no plants in this season yet."
		return s
	}
	figure := Bars{Title: "Ripe fruit on the vine", Unit: "fruit", Layout: Nested, Basis: "the last count of each plant, less what was taken since"}
	standing := BarSeries{Name: "standing ripe", Tone: ToneRipe}
	certain := BarSeries{Name: "certainly past its hold time"}
	s.Table = &Table{Caption: "Ripe fruit on the vine, by plant", Columns: []Column{{Name: "Plant"}, {Name: "Cultivar"}, {Name: "Place"},
		{Name: "Standing ripe", Unit: "fruit", Numeric: true}, {Name: "Certainly past ripe", Unit: "fruit", Numeric: true},
		{Name: "Hold time", Unit: "days", Numeric: true}, {Name: "The oldest has hung at most", Unit: "days", Numeric: true}}}
	var rows []crop.ID
	for _, p := range r.Plants {
		x := p.PastRipe
		if len(p.Book.Visits) == 0 || x.StandingRipe != nil && *x.StandingRipe == 0 {
			continue
		}
		oldest := "not known"
		if x.LongestDays != nil {
			oldest = report.Days(*x.LongestDays)
		}
		s.Table.Rows = append(s.Table.Rows, []string{p.Records.Plant.Label, p.Records.Cultivar.Name, placeName(p),
			wholeOr(x.StandingRipe, fmt.Sprintf("at least %d", x.StandingRipeAtLeast)), whole(x.Certain), report.Days(x.HoldDays), oldest})
		if links.Plant != nil {
			s.Table.RowLinks = append(s.Table.RowLinks, plantLink(p, links))
		}
		rows = append(rows, p.Records.Plant.ID)
		figure.Rows = append(figure.Rows, p.Records.Plant.Label)
		standing.Values = append(standing.Values, number(x.StandingRipe))
		certain.Values = append(certain.Values, new(float64(x.Certain)))
	}
	if len(figure.Rows) == 0 {
		s.Table = nil
		s.Empty = "No ripe fruit stands on any plant that was counted."
		if r.Totals.Counted == 0 {
			s.Empty = "No plant has been counted yet, so no ripe fruit is known of."
		}
		return s
	}
	certain.Tone = TonePastRipe
	figure.Series = []BarSeries{standing, certain}
	s.Sentence = fmt.Sprintf("Ripe fruit standing on each plant, and how much of it has certainly hung longer than its hold time: %d fruit in all, if the records are complete.", r.PastRipe.Certain)
	s.Notes = []string{"“Certainly past ripe” holds whatever was picked first, and rests on the records being complete: a picking that was not written down breaks it."}
	addExpected(r, &s, &figure, rows)
	s.Figure = figure
	if none := r.Totals.Counted - len(figure.Rows); none > 0 {
		s.Notes = append(s.Notes, count(none, "other plant that was counted has no ripe fruit and is", "other plants that were counted have no ripe fruit and are")+" not listed.")
	}
	return s
}

func placeName(p report.Plant) string {
	if p.Place == nil {
		return "–"
	}
	return p.Place.Name
}

func plantLink(p report.Plant, links ReportLinks) string {
	if links.Plant == nil {
		return ""
	}
	return links.Plant(p.Records.Plant.ID.String())
}

// pastRipeDaysSection is the same by plant and day, a table whose cells are shaded.
func pastRipeDaysSection(r *report.Season) []Section {
	d := &r.PastRipeDays
	if len(d.Plant) == 0 {
		return nil
	}
	t := &Table{Caption: "Fruit certainly past its hold time at the end of the day", Columns: []Column{{Name: "Plant"}}, Heat: d.Most}
	for _, day := range d.Days {
		t.Columns = append(t.Columns, Column{Name: shortDay(day), Unit: whole(day.Year), Numeric: true})
	}
	worst, on := "", ""
	for _, p := range d.Plant {
		row := []string{p.Label}
		for i, n := range p.Certain {
			row = append(row, wholeOr(n, "–"))
			if n != nil && *n == d.Most && worst == "" {
				worst, on = p.Label, d.Days[i].Words()
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return []Section{{
		Heading:  "Past ripe, by plant and day",
		Sentence: fmt.Sprintf("How many fruit had certainly hung past their hold time at the end of each day of counting on which ripe fruit hung, and of the report: at most %d, on %s on %s.", d.Most, worst, on),
		Table:    t,
		Notes:    []string{"By what was recorded by then; “–” where the plant had not been counted yet, or was gone. The more fruit, the stronger the cell's colour and the thicker the line under it. Plants that never had such fruit are not listed."},
	}}
}
