package report_test

import (
	"fmt"
	"io"
	"math"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/charts"
)

// largeSeason is a network's season: plants of ten cultivars, each counted 50 times in 100 days and picked at every third
// count.
func largeSeason(plants int) *crop.Trial {
	sown := crop.Date{Year: 2026, Month: 3, Day: 1}
	t := &crop.Trial{Season: crop.Season{ID: crop.ID{1}, Name: "Large"}, Scales: []crop.Scale{crop.DefaultScale()},
		Places: []crop.Place{{ID: crop.ID{2}, Name: "House"}}}
	for v := range 10 {
		t.Cultivars = append(t.Cultivars, crop.Cultivar{ID: crop.ID{3, byte(v)}, Name: fmt.Sprintf("Cultivar %d", v+1)})
	}
	number := 0
	id := func() crop.ID {
		number++
		return crop.ID{7, byte(number >> 16), byte(number >> 8), byte(number)}
	}
	for i := range plants {
		p := crop.Plant{ID: id(), SeasonID: crop.ID{1}, PlaceID: crop.ID{2}, CultivarID: crop.ID{3, byte(i % 10)}, Label: fmt.Sprintf("P%04d", i+1), SownOn: &sown}
		t.Plants = append(t.Plants, p)
		reached := func(day, middle float64) int {
			return int(math.Round(60 / (1 + math.Exp(-0.12*(day-middle-float64(i%7))))))
		}
		taken := 0
		for v := range 50 {
			day := float64(2 * v)
			at := crop.InstantMoment(noon.AddDate(0, 0, 2*v))
			ever := [4]int{reached(day, 30), reached(day, 50), reached(day, 54), reached(day, 58)}
			t.Visits = append(t.Visits, crop.Visit{ID: id(), PlantID: p.ID, CountedAt: at, Counts: map[string]int{
				"green": ever[0] - ever[1], "breaker": ever[1] - ever[2], "turning": ever[2] - ever[3], "red": ever[3] - taken}})
			if n := ever[3] - taken; v%3 == 2 && n > 0 {
				t.Pickings = append(t.Pickings, crop.Picking{ID: id(), PlantID: &p.ID, PickedAt: at, Stage: "red", Fruits: new(n), MassG: new(8.5 * float64(n)), Grade: crop.Marketable})
				taken += n
			}
		}
	}
	t.Arrange()
	return t
}

// BenchmarkSeasonReport makes the report of 1,000 plants with 50 counts each and writes its page.
func BenchmarkSeasonReport(b *testing.B) {
	trial := largeSeason(1000)
	b.Run("numbers", func(b *testing.B) {
		for b.Loop() {
			report.Of(trial, report.Options{})
		}
	})
	r := report.Of(trial, report.Options{})
	b.Run("page", func(b *testing.B) {
		for b.Loop() {
			n := new(counter)
			if err := charts.WriteFile(n, charts.SeasonPage(r, charts.ReportLinks{})); err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(*n), "bytes/page")
		}
	})
}

// BenchmarkForecastReport makes the report of plants in the middle of their ripening, with 32 counts each, and its page: 24 and 75 plants with
// what is held against earlier forecasts, and 180, which are about as many as a report forecasts.
func BenchmarkForecastReport(b *testing.B) {
	for plants, held := range map[int]bool{24: true, 75: true, 180: false} {
		b.Run(fmt.Sprintf("%d plants", plants), func(b *testing.B) {
			trial := largeSeason(plants)
			o := report.Options{AsOf: noon.AddDate(0, 0, 62)}
			if r := report.Of(trial, o); !r.Ahead.Coming() || (len(r.Ahead.Held().Weeks) > 0) != held {
				b.Fatalf("forecast: %v %s, held: %s", r.Ahead.Coming(), r.Ahead.Why, r.Ahead.Held().Why)
			}
			for b.Loop() {
				if err := charts.WriteFile(io.Discard, charts.SeasonPage(report.Of(trial, o), charts.ReportLinks{})); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkPlantReport makes the report of one plant out of 1,000.
func BenchmarkPlantReport(b *testing.B) {
	trial := largeSeason(1000)
	for b.Loop() {
		r, err := report.OfPlant(trial, trial.Plants[500].ID, report.Options{})
		if err != nil {
			b.Fatal(err)
		}
		if err := charts.WriteFile(io.Discard, charts.PlantPage(r, charts.ReportLinks{})); err != nil {
			b.Fatal(err)
		}
	}
}

type counter int

func (c *counter) Write(p []byte) (int, error) {
	*c += counter(len(p))
	return len(p), nil
}

// TestPageSize: the report of a large season, chart library included, stays small enough for a slow line, and no plant's row
// is left out for it: at the end, and in the middle when ripe fruit stands on every plant.
func TestPageSize(t *testing.T) {
	trial := largeSeason(1000)
	for name, c := range map[string]struct {
		asOf time.Time
		ripe int // plants with ripe fruit, at least
	}{"at the end": {time.Time{}, 1}, "in the middle": {noon.AddDate(0, 0, 62), 1000}} {
		page := charts.SeasonPage(report.Of(trial, report.Options{AsOf: c.asOf}), charts.ReportLinks{})
		var n counter
		if err := charts.WriteFile(&n, page); err != nil {
			t.Fatal(err)
		}
		const most = 1_500_000
		if n > most {
			t.Errorf("%s: the page has %d bytes, want at most %d", name, n, most)
		}
		rows := map[string]int{}
		for _, s := range page.Sections {
			if s.Table != nil {
				rows[s.Heading] = len(s.Table.Rows)
			}
		}
		if rows["Plants"] != 1000 || rows["Past ripe, by plant"] < c.ripe {
			t.Errorf("%s: the tables have %v rows, want one for each of 1,000 plants, and one for each of %d with ripe fruit", name, rows, c.ripe)
		}
		t.Logf("%s: %d bytes", name, n)
	}
}
