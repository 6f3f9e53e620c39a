package charts

import (
	"fmt"
	"strings"

	"vinetally/analytics/report"
)

// airSections show the temperature of the places and the ripening time that it makes, on the dates of the other charts; none without readings.
func airSections(r *report.Season) []Section {
	if len(r.Air) == 0 {
		return nil
	}
	heat := Curves{Title: "Temperature of the air, mean of the day", Unit: "°C", Basis: readingsText(r)}
	time := Cumulative{Title: "Standard days since the first reading", Unit: "standard days", Steady: true, Basis: readingsText(r)}
	table := &Table{Caption: "Temperature, week by week", Columns: []Column{{Name: "Place"}, {Name: "Week of"}, {Name: "Mean", Unit: "°C", Numeric: true},
		{Name: "Lowest", Unit: "°C", Numeric: true}, {Name: "Highest", Unit: "°C", Numeric: true}, {Name: "Readings", Numeric: true}}}
	sums := &Table{Caption: "Standard days, week by week", Columns: []Column{{Name: "Place"}, {Name: "Week of"}, {Name: "In the week", Unit: "standard days", Numeric: true},
		{Name: "Since the first reading", Unit: "standard days", Numeric: true}}}
	var parts, notes []string
	for i := range r.Air {
		a := &r.Air[i]
		curve := Curve{Name: a.Place, BandName: "lowest to highest of the day"}
		line := YieldLine{Name: a.Place}
		for j, d := range a.Days {
			noon := d.On.Noon(r.AsOf.Location())
			curve.Fit = append(curve.Fit, Point{noon, d.Mean})
			curve.Band = append(curve.Band, BandPoint{At: noon, Low: d.Low, High: d.High})
			if (len(a.Days)-1-j)%7 == 0 { // a point a week, back from the last day
				line.Points = append(line.Points, Point{noon, d.Sum})
			}
		}
		heat.Series, time.Groups = append(heat.Series, curve), append(time.Groups, line)
		sum := 0.0
		for _, w := range a.Weeks {
			table.Rows = append(table.Rows, []string{a.Place, w.Monday.Words(), report.Rounded(w.Mean, 1), report.Rounded(w.Low, 1), report.Rounded(w.High, 1), whole(w.Readings)})
			sum += w.StandardDays
			sums.Rows = append(sums.Rows, []string{a.Place, w.Monday.Words(), report.Rounded(w.StandardDays, 1), report.Rounded(sum, 1)})
		}
		parts = append(parts, fmt.Sprintf("%s %s standard days (± %s) in %s", a.Place, report.Rounded(a.StandardDays, 1), report.Rounded(a.SE, 1), report.Days(a.Calendar)+" days"))
		if left := a.LeftOutSentence(); left != "" {
			notes = append(notes, a.Place+": "+left)
		}
		if a.Filled >= 0.05 {
			notes = append(notes, fmt.Sprintf("%s: %s days between readings were filled, with the shape of the days around them where there were any.", a.Place, report.Rounded(a.Filled, 1)))
		}
	}
	return []Section{
		{Heading: "Temperature, by place", Sentence: "The mean of each day's readings; the bands go from the lowest to the highest of the day.", Figure: heat, Table: table, Notes: notes},
		{Heading: "Ripening time, by place", Sentence: "Standard days added up from the first reading to the last: " + strings.Join(parts, ", ") + ".", Figure: time, Table: sums, Notes: []string{
			"A standard day is the ripening that one day at 20 °C does, by the days from flower to ripe fruit at four temperatures (Adams, Cockshull and Cave 2001). The ± is the standard error of that relation alone; how cultivars differ from it isn't in it."}},
	}
}

func readingsText(r *report.Season) string {
	n := 0
	for i := range r.Air {
		n += r.Air[i].Readings
	}
	return count(n, "reading", "readings") + " at " + count(len(r.Air), "place", "places")
}
