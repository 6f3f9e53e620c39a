package forecast_test

import (
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/simulate"
)

// TestFirstBreakers: a first count of two or three breakers beside green fruit, and nothing beyond, tells that fruit begins to colour. Of such a plant,
// of which nothing else is known, what ripens in two weeks is forecast. When those were thought green fruit called breakers by mistake, less than half
// of it was.
func TestFirstBreakers(t *testing.T) {
	const ahead = 14
	mean, truth, held, n := 0.0, 0.0, 0.0, 0.0
	for _, name := range []string{"steady", "swinging", "two cultivars"} {
		c, ok := simulate.Named(name)
		if !ok {
			t.Fatal(name)
		}
		for seed := range 5 {
			w := simulate.New(c, uint64(seed+1))
			for i := range w.Trial.Plants {
				for _, v := range w.Trial.Visits {
					if k := v.Counts; v.PlantID != w.Trial.Plants[i].ID || len(k) != 4 || k["breaker"] < 2 || k["breaker"] > 3 || k["turning"]+k["red"] > 0 {
						continue
					}
					u := clone(w.Trial)
					u.Plants, u.Visits, u.Pickings, u.Losses, u.Diary = u.Plants[i:i+1:i+1], []crop.Visit{v}, nil, nil, nil
					u.Arrange()
					at := v.CountedAt.At.Add(time.Minute)
					f := forecast.Of(modelOf(u.AsOf(at), at), forecast.Options{Days: ahead})
					if len(f.Plants) != 1 {
						continue
					}
					ripe := w.NewlyRipe(i, at, at.AddDate(0, 0, ahead))
					d := &f.Plants[0].NewlyRipe[ahead-1]
					mean, truth, n = mean+d.Mean, truth+float64(ripe), n+1
					if low, high := d.Interval(); low <= ripe && ripe <= high {
						held++
					}
				}
			}
		}
	}
	t.Logf("of %.0f first counts: %.2f ripe in two weeks forecast, %.2f were, %.0f %% of the intervals hold", n, mean/n, truth/n, 100*held/n)
	if n < 50 || mean < 0.6*truth || mean > 1.2*truth || held < 0.82*n {
		t.Errorf("of %.0f first counts: %.2f ripe in two weeks forecast, %.2f were, %.0f %% of the intervals hold", n, mean/n, truth/n, 100*held/n)
	}
}
