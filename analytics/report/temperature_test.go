package report_test

import (
	"math"
	"testing"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// TestAir: the weeks of a place add up to the whole, and the mean of a place is that of its readings.
func TestAir(t *testing.T) {
	trial := demoseasons.Load(t)[demoseasons.Autumn]
	r := report.Of(trial, report.Options{NoForecast: true})
	if len(r.Air) != 2 {
		t.Fatalf("air of %d places, want 2", len(r.Air))
	}
	for _, a := range r.Air {
		weeks, readings, sum := 0.0, 0, 0.0
		for _, w := range a.Weeks {
			weeks, readings, sum = weeks+w.StandardDays, readings+w.Readings, sum+w.Mean*float64(w.Readings)
			if !(w.Low <= w.Mean && w.Mean <= w.High) {
				t.Errorf("%s, week of %s: mean %v outside %v to %v", a.Place, w.Monday, w.Mean, w.Low, w.High)
			}
		}
		if readings != a.Readings || math.Abs(weeks-a.StandardDays) > 1e-6 || math.Abs(a.Days[len(a.Days)-1].Sum-a.StandardDays) > 1e-6 {
			t.Errorf("%s: weeks of %d readings and %v standard days, days to %v; the whole has %d and %v", a.Place, readings, weeks,
				a.Days[len(a.Days)-1].Sum, a.Readings, a.StandardDays)
		}
		want, n := 0.0, 0
		for i := range r.Trial.Temperatures {
			x := &r.Trial.Temperatures[i]
			if p, ok := r.Trial.Place(x.PlaceID); ok && p.Name == a.Place {
				want, n = want+*x.AirC, n+1
			}
		}
		if n == a.Readings && math.Abs(want/float64(n)-sum/float64(readings)) > 1e-9 {
			t.Errorf("%s: mean %v of the weeks, %v of the readings", a.Place, sum/float64(readings), want/float64(n))
		}
	}
}
