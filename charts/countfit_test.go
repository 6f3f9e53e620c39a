package charts_test

import (
	"strings"
	"testing"

	"vinetally/analytics/report"
	"vinetally/analytics/simulate"
	"vinetally/charts"
)

// TestCountFitSections: a plant's report has every count but the first with what was expected of it, a season's the cultivars; with numbers of each stage and a chance.
func TestCountFitSections(t *testing.T) {
	const fits = "How well the counts fit"
	c, _ := simulate.Named("two cultivars")
	w := simulate.New(c, 1)
	at := w.At(24 * 110)
	section := func(p charts.Page, heading string) *charts.Section {
		for i := range p.Sections {
			if p.Sections[i].Heading == heading {
				return &p.Sections[i]
			}
		}
		return nil
	}
	of := report.Of(w.Trial, report.Options{AsOf: at})
	page := charts.SeasonPage(of, charts.ReportLinks{Plant: func(id string) string { return "plants/" + id }})
	season := section(page, fits)
	if season == nil || len(season.Table.Rows) != 2 || !strings.Contains(season.Sentence, "lie far from what the other records let expect") {
		t.Fatalf("the season: %+v", season)
	}
	// the counts that fit least lead to their plants
	misfits := section(page, "Counts that fit least")
	all := of.Misfits()
	if misfits == nil || len(all) == 0 || len(misfits.Table.Rows) != min(20, len(all)) || misfits.Table.RowLinks[0] != "plants/"+all[0].PlantID.String() || misfits.Table.Rows[0][0] != all[0].Plant {
		t.Fatalf("%d counts that fit least: %+v", len(all), misfits)
	}
	r, err := report.OfPlant(w.Trial, w.Trial.Plants[0].ID, report.Options{AsOf: at})
	if err != nil {
		t.Fatal(err)
	}
	plant := section(charts.PlantPage(r, charts.ReportLinks{}), fits)
	if plant == nil || len(plant.Table.Rows) != len(r.Plant.Book.Visits)-1 {
		t.Fatalf("the plant of %d visits: %+v", len(r.Plant.Book.Visits), plant)
	}
	for _, row := range plant.Table.Rows {
		if len(row) != 6 || !strings.Contains(row[1], " ± ") {
			t.Errorf("%q", row)
		}
	}
}
