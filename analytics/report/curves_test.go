package report_test

import (
	"slices"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/ledger"
	"vinetally/analytics/report"
)

// TestCurvesAreTheSeasons checks that the curves of a season's report and of its plants' reports are those of the season
// as a whole.
func TestCurvesAreTheSeasons(t *testing.T) {
	for name, trial := range demoTrials(t) {
		r := report.Of(trial, report.Options{})
		var records []crop.PlantRecords
		var books []ledger.Book
		for _, p := range r.Plants {
			records, books = append(records, p.Records), append(books, p.Book)
		}
		curves, refused := r.Curves.Curves, r.Curves.Refused
		for _, p := range r.Plants {
			one, err := report.OfPlant(trial, p.Records.Plant.ID, report.Options{})
			if err != nil {
				t.Fatal(err)
			}
			curves, refused = slices.Concat(curves, one.Curves.Curves), slices.Concat(refused, one.Curves.Refused)
		}
		want := curve.Season(records, books, trial)
		if len(want.Curves) < 10 {
			t.Errorf("%s: %d curves in the season, want 10 or more", name, len(want.Curves))
		}
		if asJSON(t, curves) != asJSON(t, want.Curves) || asJSON(t, refused) != asJSON(t, want.Refused) {
			t.Errorf("%s: the reports hold other curves than the season", name)
		}
	}
}
