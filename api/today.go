package api

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/report"
	"vinetally/charts"
)

// today says in a few words what to do in a season on a day, today or that one: what to pick, what hangs too long, what to count.
func today(fitted *outlook, f *forecast.Forecast, on string) (all []charts.Statement) {
	say := func(s charts.Severity, format string, args ...any) {
		all = append(all, charts.Statement{Text: fmt.Sprintf(format, args...), Severity: s})
	}
	if len(f.Plants) == 0 {
		say(charts.Plain, "%s", f.Warnings[0])
		return all
	}
	day := crop.DateOf(f.AsOf.In(fitted.trial.Zone()))
	switch picks := f.Plan.Picks; {
	case len(picks) == 0:
		say(charts.Plain, "%s", f.Plan.None())
	case picks[0].On == day:
		say(charts.Act, "Pick %s: about %s.", on, fruitOn(&picks[0]))
	default:
		say(charts.Plain, "Next picking: %s, about %s. Ripe now: about %s.", dayName(picks[0].On), fruitOn(&picks[0]), fruitBetween(f.RipeNow))
	}
	sayPastRipe(f, say)
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
	for i := range f.Surprises {
		if s := &f.Surprises[i]; !s.At.At.Before(f.AsOf.AddDate(0, 0, -lately)) {
			say(charts.Look, "%s", forecast.Surprising(s))
			break
		}
	}
	return all
}

// lately is up to how many days ago a record was made that today asks to look at again.
const lately = 14

// mostToCount is how many plants today names to be counted.
const mostToCount = 3

// sayPastRipe says how much has probably hung too long, and how much of it is certain.
func sayPastRipe(f *forecast.Forecast, say func(s charts.Severity, format string, args ...any)) {
	old := pastFirst(f.Plants)
	if len(old) == 0 {
		return
	}
	past, raised := f.PastRipe.IfComplete()
	about := fruitBetween(forecast.Range{Mean: past.Mean, Low: float64(past.Low), High: float64(past.High)})
	switch {
	case past.Certain == 0:
		say(charts.Look, "Probably ripe for too long: about %s on %s. Look at these first.", about, some(old))
	case raised: // what is to be picked is fewer, and that is why
		say(charts.Act, "Ripe for too long: at least %s on %s, if the records are complete and none has fallen unseen. Look at these first.", fruitWords(float64(past.Certain)), some(old))
	default:
		say(charts.Act, "Ripe for too long: about %s on %s, at least %d of them for certain if the records are complete. Look at these first.", about, some(old), past.Certain)
	}
}

// fruitOn is how many fruit are on which plants.
func fruitOn(p *forecast.Pick) string {
	if len(p.Plants) == 0 {
		return fruitBetween(p.Fruits)
	}
	return fruitBetween(p.Fruits) + " on " + some(p.Plants)
}

// fruitBetween is an expected number of fruit with its interval.
func fruitBetween(r forecast.Range) string {
	return fmt.Sprintf("%s (%d %% interval %.0f to %.0f)", fruitWords(r.Mean), levelPercent, r.Low, r.High)
}

// levelPercent is the level of a forecast's intervals.
const levelPercent = int(100 * forecast.Level)

// dayName is such as Thursday, 5 Feb 2026.
func dayName(d crop.Date) string {
	return d.Noon(time.UTC).Weekday().String() + ", " + d.Words()
}

// pastFirst names the plants on which fruit is probably past ripe, the most first.
func pastFirst(plants []forecast.Plant) (labels []string) {
	type hanging struct {
		label string
		mean  float64
	}
	var all []hanging
	for i := range plants {
		if p, _ := plants[i].PastRipe.IfComplete(); p.MoreThan(0) >= 0.5 {
			all = append(all, hanging{plants[i].Label, p.Mean})
		}
	}
	slices.SortStableFunc(all, func(a, b hanging) int { return cmp.Compare(b.mean, a.mean) })
	for _, p := range all {
		labels = append(labels, p.label)
	}
	return labels
}

// mostRows is how many plants today lists.
const mostRows = 30

// ripestFirst are the plants that today lists: all in their order, or of more than it lists those with most to be picked.
func ripestFirst(plants []forecast.Plant) []*forecast.Plant {
	all := make([]*forecast.Plant, len(plants))
	for i := range plants {
		all[i] = &plants[i]
	}
	if len(all) <= mostRows {
		return all
	}
	tooLong := func(p *forecast.Plant) int { past, _ := p.PastRipe.IfComplete(); return int(past.Mean + 0.5) }
	slices.SortStableFunc(all, func(a, b *forecast.Plant) int {
		return cmp.Or(cmp.Compare(tooLong(b), tooLong(a)), cmp.Compare(b.RipeNow.Mean, a.RipeNow.Mean))
	})
	return all[:mostRows]
}

// stackedRows is up to how many plants each has its numbers under each other on a narrow screen; more are a table to scroll.
const stackedRows = 8

// todaySections are the picking days and the plants, of now or of the past.
func todaySections(season *crop.Season, f *forecast.Forecast, zone *time.Location, past bool) []charts.Section {
	if len(f.Plants) == 0 {
		return nil
	}
	interval := fmt.Sprintf("%d\u00a0%% interval", levelPercent)
	days := charts.Section{Heading: "Picking days", Table: &charts.Table{Caption: "Picking days of the next two weeks", Stack: true,
		Columns: []charts.Column{{Name: "Day"}, {Name: "About", Unit: "fruit", Numeric: true}, {Name: interval, Unit: "fruit"}, {Name: "Plants"}}},
		Links: []charts.Link{{Text: "As a calendar", Href: "/calendar.ics?season=" + season.ID.String(), Detail: "for a phone to subscribe to"}}}
	for _, p := range f.Plan.Picks {
		days.Table.Rows = append(days.Table.Rows, []string{dayName(p.On), report.Rounded(p.Fruits.Mean, 0), fmt.Sprintf("%.0f – %.0f", p.Fruits.Low, p.Fruits.High), firstOf(p.Plants, mostRows)})
	}
	if past {
		days.Links = nil // a calendar is of now
	}
	switch {
	case len(f.Plan.Picks) == 0:
		days.Table, days.Links, days.Empty = nil, nil, f.Plan.None()
	case f.Plan.Waits:
		days.Notes = []string{"What becomes ripe after the last of these days can wait until after the two weeks."}
	}
	plants := charts.Section{Heading: "Plants", Table: &charts.Table{Caption: "Fruit expected on each plant (" + interval + "s in brackets)", RowLinks: []string{}, Stack: len(f.Plants) <= stackedRows,
		Columns: []charts.Column{{Name: "Plant"}, {Name: "Ripe now", Unit: "fruit", Numeric: true}, {Name: "Ripe for too long, if none has fallen unseen", Unit: "fruit", Numeric: true}, {Name: "More ripe within 3 days", Unit: "fruit", Numeric: true}, {Name: "Last count"}}},
		Links: []charts.Link{{Text: "The season's report", Href: "/reports/seasons/" + season.ID.String(), Detail: season.Name}}}
	for _, p := range ripestFirst(f.Plants) {
		past, _ := p.PastRipe.IfComplete()
		soon := p.NewlyRipe[min(2, len(p.NewlyRipe)-1)]
		low, high := soon.Interval()
		plants.Table.Rows = append(plants.Table.Rows, []string{p.Label, report.Expected(p.RipeNow.Mean, p.RipeNow.Low, p.RipeNow.High),
			report.Expected(past.Mean, float64(past.Low), float64(past.High)), report.Expected(soon.Mean, float64(low), float64(high)), crop.DayWords(p.LastCount.In(zone))})
		plants.Table.RowLinks = append(plants.Table.RowLinks, "/reports/plants/"+p.ID.String())
	}
	if more := len(f.Plants) - mostRows; more > 0 {
		plants.Notes = append(plants.Notes, fmt.Sprintf("The plants with most fruit ripe for too long come first, then those with most ripe; %d more aren't listed. The REST interface has them all.", more))
	}
	return []charts.Section{days, plants}
}
