package api

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/charts"
)

// today says in a few words what to do in a season: what to pick, what hangs too long, what to count.
func today(fitted *outlook, f *forecast.Forecast) (all []charts.Statement) {
	say := func(s charts.Severity, format string, args ...any) {
		all = append(all, charts.Statement{Text: fmt.Sprintf(format, args...), Severity: s})
	}
	if len(f.Plants) == 0 {
		say(charts.Plain, "%s", f.Warnings[0])
		return all
	}
	day := crop.DateOf(f.AsOf.In(fitted.trial.Zone()))
	ripe := 0.0
	for i := range f.Plants {
		ripe += ripeNow(&f.Plants[i])
	}
	switch picks := f.Plan.Picks; {
	case len(picks) == 0:
		say(charts.Plain, "Nothing to pick is expected in the next %d days.", f.Plan.Days)
	case picks[0].On == day:
		say(charts.Act, "Pick today: about %s.", fruitOn(&picks[0]))
	default:
		say(charts.Plain, "Next picking: %s, about %s. About %s ripe now.", dayName(picks[0].On), fruitOn(&picks[0]), areFruit(ripe))
	}
	if old := pastFirst(f.Plants); len(old) > 0 {
		say(charts.Look, "Probably ripe for too long: about %s, on %s. Look at these first.", fruitWords(f.PastRipe.Mean), some(old))
	}
	if len(f.CountNext) > 0 {
		var labels []string
		for _, c := range f.CountNext[:min(mostToCount, len(f.CountNext))] {
			labels = append(labels, c.Plant)
		}
		say(charts.Plain, "Count next: %s; that would sharpen the forecast most.", some(labels))
	}
	for _, w := range f.Plan.Warnings {
		say(charts.Look, "%s", w)
	}
	return all
}

// mostToCount is how many plants today names to be counted.
const mostToCount = 3

// fruitOn is how many fruit are on which plants.
func fruitOn(p *forecast.Pick) string {
	if len(p.Plants) == 0 {
		return fruitWords(p.Fruits.Mean)
	}
	return fruitWords(p.Fruits.Mean) + " on " + some(p.Plants)
}

func areFruit(n float64) string {
	if math.Round(n) == 1 {
		return "1 fruit is"
	}
	return fruitWords(n) + " are"
}

// dayName is such as Thursday, 5 Feb 2026.
func dayName(d crop.Date) string {
	return d.Noon(time.UTC).Weekday().String() + ", " + d.Words()
}

func ripeNow(p *forecast.Plant) float64 { return math.Max(0, p.Standing[len(p.Standing)-1].Mean) }

// pastFirst names the plants on which fruit is probably past ripe, the most first.
func pastFirst(plants []forecast.Plant) (labels []string) {
	order := slices.SortedStableFunc(slices.Values(plants), func(a, b forecast.Plant) int { return cmp.Compare(b.PastRipe.Mean, a.PastRipe.Mean) })
	for i := range order {
		if order[i].PastRipe.MoreThan(0) >= 0.5 {
			labels = append(labels, order[i].Label)
		}
	}
	return labels
}

// mostRows is how many plants today lists; the season's report has all of them.
const mostRows = 30

// todaySections are the picking days and the plants.
func todaySections(season *crop.Season, f *forecast.Forecast) []charts.Section {
	if len(f.Plants) == 0 {
		return nil
	}
	days := charts.Section{Heading: "Picking days", Table: &charts.Table{Caption: "Picking days of the next two weeks", Stack: true,
		Columns: []charts.Column{{Name: "Day"}, {Name: "About", Unit: "fruit", Numeric: true}, {Name: "Between"}, {Name: "Plants"}}},
		Links: []charts.Link{{Text: "As a calendar", Href: "/calendar.ics?season=" + season.ID.String(), Detail: "for a phone to subscribe to"}}}
	for _, p := range f.Plan.Picks {
		days.Table.Rows = append(days.Table.Rows, []string{dayName(p.On), fmt.Sprintf("%.0f", p.Fruits.Mean), fmt.Sprintf("%.0f – %.0f", p.Fruits.Low, p.Fruits.High), some(p.Plants)})
	}
	if len(f.Plan.Picks) == 0 {
		days.Table, days.Links, days.Empty = nil, nil, "None in the next two weeks."
	}
	plants := charts.Section{Heading: "Plants", Table: &charts.Table{Caption: "Fruit expected on each plant", RowLinks: []string{},
		Columns: []charts.Column{{Name: "Plant"}, {Name: "Ripe now", Unit: "fruit", Numeric: true}, {Name: "Of these too long", Unit: "fruit", Numeric: true}, {Name: "Ripe within 3 days", Unit: "fruit", Numeric: true}, {Name: "Last count"}}},
		Links: []charts.Link{{Text: "The season's report", Href: "/reports/seasons/" + season.ID.String(), Detail: season.Name}}}
	for i := range f.Plants[:min(mostRows, len(f.Plants))] {
		p := &f.Plants[i]
		soon := p.NewlyRipe[min(2, len(p.NewlyRipe)-1)].Mean
		plants.Table.Rows = append(plants.Table.Rows, []string{p.Label, tenth(ripeNow(p)), tenth(p.PastRipe.Mean), tenth(soon), crop.DayWords(p.LastCount)})
		plants.Table.RowLinks = append(plants.Table.RowLinks, "/reports/plants/"+p.ID.String())
	}
	if more := len(f.Plants) - mostRows; more > 0 {
		plants.Notes = append(plants.Notes, fmt.Sprintf("%d more plants are in the season's report.", more))
	}
	return []charts.Section{days, plants}
}

func tenth(n float64) string { return fmt.Sprintf("%.1f", math.Max(0, n)) }
