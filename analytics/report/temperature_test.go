package report_test

import (
	"math"
	"testing"

	"vinetally/analytics/report"
	"vinetally/analytics/thermal"
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

// TestLeftOutSentence: readings that aren't used are counted, with what they read and why.
func TestLeftOutSentence(t *testing.T) {
	left := func(why thermal.Why, at ...float64) (all []thermal.LeftOut) {
		for _, c := range at {
			all = append(all, thermal.LeftOut{Reading: thermal.Reading{AirC: c}, Why: why})
		}
		return all
	}
	for want, all := range map[string][]thermal.LeftOut{
		"": nil,
		"1 reading was left out, of -127.0 °C: sensor fault.":                                  left(thermal.SensorFault, -127),
		"3 readings were left out, of 46.0 to 85.0 °C: 2 a logger in the sun, 1 sensor fault.": append(left(thermal.SensorFault, 85), left(thermal.InTheSun, 46, 51.5)...),
		"1 reading was left out: no number.":                                                   left(thermal.NoNumber, math.NaN()),
		"2 readings were left out, of 20.0 to 21.0 °C: another reading at the same time.":      left(thermal.Repeated, 20, 21),
	} {
		if got := (&report.PlaceAir{LeftOut: all}).LeftOutSentence(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
