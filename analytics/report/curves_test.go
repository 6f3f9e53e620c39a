package report_test

import (
	"slices"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/ledger"
	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// TestCurvesAreTheSeasons checks that the curves of a season's report and of its plants' reports are those of the season
// as a whole.
func TestCurvesAreTheSeasons(t *testing.T) {
	for name, trial := range demoseasons.Load(t) {
		r := report.Of(trial, report.Options{NoForecast: true})
		var records []crop.PlantRecords
		var books []ledger.Book
		for _, p := range r.Plants {
			records, books = append(records, p.Records), append(books, p.Book)
		}
		curves, refused := r.Curves.Curves, r.Curves.Refused
		for _, p := range r.Plants {
			one, err := report.OfPlant(trial, p.Records.Plant.ID, report.Options{NoForecast: true})
			if err != nil {
				t.Fatal(err)
			}
			curves, refused = slices.Concat(curves, one.Curves.Curves), slices.Concat(refused, one.Curves.Refused)
		}
		clocks, _ := curve.NewClocks(r.Trial.Temperatures, r.Trial).Preferred(records)
		want := clocks.Season(records, books, r.Trial)
		own := slices.DeleteFunc(slices.Clone(want.Curves), func(c curve.Curve) bool { return c.Scope != curve.ScopePlant })
		if asJSON(t, r.PlantCurves.Curves) != asJSON(t, own) {
			t.Errorf("%s: the plants' curves are others than the season's", name)
		}
		for i := range want.Curves {
			want.Curves[i].Shrunken = nil // it takes the other plants, which a plant's report doesn't look at
		}
		if len(want.Curves) < 10 {
			t.Errorf("%s: %d curves in the season, want 10 or more", name, len(want.Curves))
		}
		if asJSON(t, curves) != asJSON(t, want.Curves) || asJSON(t, refused) != asJSON(t, want.Refused) {
			t.Errorf("%s: the reports hold other curves than the season", name)
		}
	}
}

// TestBandsStayInReach checks that no band leaves the numbers that were counted far behind, also where the curve is next
// to nothing and a small shift of its start is many times its height.
func TestBandsStayInReach(t *testing.T) {
	for name, trial := range demoseasons.Load(t) {
		for _, c := range report.Of(trial, report.Options{NoForecast: true}).Curves.Curves {
			most := 0.0
			for _, o := range c.Observed {
				most = max(most, o.Value)
			}
			for _, p := range c.Line {
				if p.Low == nil || p.High == nil {
					t.Errorf("%s, %s, %s: no band on %s", name, c.Cultivar, c.Stage, p.At)
					continue
				}
				if *p.Low < 0 || *p.Low > p.Value || *p.High < p.Value || *p.High > 3*most {
					t.Errorf("%s, %s, %s on %s: %v stands in a band from %v to %v; the most counted is %v", name, c.Cultivar, c.Stage, p.At, p.Value, *p.Low, *p.High, most)
				}
			}
		}
	}
}
