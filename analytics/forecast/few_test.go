package forecast_test

import (
	"testing"

	"vinetally/analytics/forecast"
)

// TestLastFruit: of one fruit that is left, half, nine tenths and all of it are ripe at about the same time, within the week that it takes from turning
// to ripe, whatever may have set unseen; and it stays one, give or take one that nobody saw.
func TestLastFruit(t *testing.T) {
	script := "count 2026-05-01 green=1 breaker=0 turning=0 red=0\ncount 2026-05-05 green=0 breaker=1 turning=0 red=0\ncount 2026-05-08 green=0 breaker=0 turning=1 red=0\n"
	f := forecastOf(t, trialOf(t, script, script), instant("2026-05-08T20:00:00Z"))
	for i := range f.Plants {
		c := &f.Plants[i].ToCome
		if week := f.AsOf.AddDate(0, 0, 8); c.Half.On.After(week) || c.Most.On.After(week) || c.Last.On.After(week) {
			t.Errorf("%s: half by %v, nine tenths by %v, all by %v", f.Plants[i].Label, c.Half.On, c.Most.On, c.Last.On)
		}
		for _, d := range f.Plants[i].NewlyRipe {
			if low, high := d.Interval(); low > 1 || high > 2 || high > c.High || d.Days >= 10 && d.Distribution.Quantile(0.5) != 1 {
				t.Errorf("%s: in %d days %d to %d of one fruit, %d to come at most", f.Plants[i].Label, d.Days, low, high, c.High)
			}
		}
	}
	few := forecast.Of(modelOf(trialOf(t, script).AsOf(f.AsOf), f.AsOf), forecast.Options{Days: forecast.MostDays, AirC: new(30.0)})
	if low, high := few.Plants[0].NewlyRipe[13].Interval(); low > 1 || high > 2 {
		t.Errorf("at 30 °C %d to %d of one fruit", low, high)
	}
}
