package charts

import (
	"fmt"

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
	for _, p := range r.Plants {
		x := p.PastRipe
		s.Table.RowLinks = append(s.Table.RowLinks, plantLink(p, links))
		if len(p.Book.Visits) == 0 {
			s.Table.Rows = append(s.Table.Rows, []string{p.Records.Plant.Label, p.Records.Cultivar.Name, placeName(p), "not counted", "–", report.Days(x.HoldDays), "–"})
			continue
		}
		ripe := wholeOr(x.StandingRipe, fmt.Sprintf("at least %d", x.StandingRipeAtLeast))
		oldest := "–"
		if x.LongestDays != nil {
			oldest = report.Days(*x.LongestDays)
		} else if x.StandingRipe == nil || *x.StandingRipe > 0 {
			oldest = "not known"
		}
		s.Table.Rows = append(s.Table.Rows, []string{p.Records.Plant.Label, p.Records.Cultivar.Name, placeName(p), ripe, whole(x.Certain), report.Days(x.HoldDays), oldest})
		if x.StandingRipe != nil && *x.StandingRipe == 0 {
			continue
		}
		figure.Rows = append(figure.Rows, p.Records.Plant.Label)
		standing.Values = append(standing.Values, number(x.StandingRipe))
		certain.Values = append(certain.Values, new(float64(x.Certain)))
	}
	s.Notes = []string{"“Certainly past ripe” holds whatever was picked first, and rests on the records being complete: a picking that was not written down breaks it. How much more may be past ripe is not estimated yet."}
	if links.Plant == nil {
		s.Table.RowLinks = nil
	}
	if len(figure.Rows) == 0 {
		s.Sentence = "No ripe fruit stands on any plant that was counted."
		return s
	}
	certain.Tone = TonePastRipe
	figure.Series = []BarSeries{standing, certain}
	s.Figure = figure
	s.Sentence = fmt.Sprintf("Ripe fruit standing on each plant, and how much of it has certainly hung longer than its hold time: %d fruit in all.", r.PastRipe.Certain)
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
