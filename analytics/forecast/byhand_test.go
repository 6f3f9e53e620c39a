package forecast_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// TestReadingsByHand: who reads a thermometer a few times a day gets nearly the forecast of a logger in the same warm room, less
// sure, and is told so. Days ahead and days behind are counted alike, so that readings that can't be used, or ended long ago, stop neither.
func TestReadingsByHand(t *testing.T) {
	const script = `count 2026-05-01T18:00:00Z green=40 breaker=2 turning=1 red=0
		count 2026-05-08T18:00:00Z green=34 breaker=3 turning=3 red=3
		pick 2026-05-08T18:00:00Z red 3
		count 2026-05-15T18:00:00Z green=25 breaker=4 turning=5 red=5`
	asOf := instant("2026-05-15T18:00:00Z")
	air := func(at time.Time) float64 {
		h := at.Sub(asOf).Hours()
		return 25 + math.Sin(h/70) + 3*math.Cos(2*math.Pi*(h-20)/24)
	}
	of := func(days, before int, hours ...float64) *forecast.Forecast {
		trial := trialOf(t, script)
		for d := days; d >= before; d-- {
			for _, h := range hours {
				at := asOf.Truncate(24*time.Hour).AddDate(0, 0, -d).Add(time.Duration(h * float64(time.Hour)))
				c := math.Round(air(at))
				trial.Temperatures = append(trial.Temperatures, crop.Temperature{PlaceID: here, MeasuredAt: at, AirC: &c})
			}
		}
		trial.Arrange()
		return forecastOf(t, trial, asOf)
	}
	var everyHour []float64
	for h := range 24 {
		everyHour = append(everyHour, float64(h))
	}
	logger := of(60, 1, everyHour...)
	week := func(f *forecast.Forecast) (mean, sd float64) {
		return f.Season[6].Mean, math.Sqrt(f.Season[6].Distribution.Variance())
	}
	want, sure := week(logger)
	fahrenheit := func() *forecast.Forecast {
		trial := trialOf(t, script)
		warm(trial, here, "2026-03-01T00:00:00Z", 75, time.Hour, func(float64) float64 { return 77 })
		return forecastOf(t, trial, asOf)
	}
	cases := []struct {
		name   string
		f      *forecast.Forecast
		days   int // that the weather rests on
		within float64
		wider  bool
		say    string
	}{
		{"every six hours", of(60, 1, 2, 8, 14, 20), 59, 0.03, true, "by a few readings a day"},
		{"morning and evening", of(60, 1, 7, 20.5), 59, 0.05, true, "by a few readings a day"},
		{"the lowest and the highest", of(60, 1, 5.5, 14.5), 59, 0.1, true, "by a few readings a day"},
		{"at noon", of(60, 1, 12), 0, 0.25, true, "in the morning and in the afternoon"},
		{"two cold mornings in winter", of(91, 90, 6), 0, 0.25, false, "can't be used"},
		{"a logger that stopped three weeks ago", of(60, 21, everyHour...), 40, 0.1, false, "last 40 days with readings"},
		{"a logger that stopped in winter", of(200, 120, everyHour...), 0, 0.25, true, "in the morning and in the afternoon"},
		{"a logger that stopped ten weeks ago", of(90, 70, everyHour...), 0, 0.25, true, "in the morning and in the afternoon"},
		{"a logger in °F", fahrenheit(), 0, 1, false, "can't be used"},
	}
	for _, c := range cases {
		got, sd := week(c.f)
		t.Logf("%s: %.2f of %.2f newly ripe in a week, standard deviation %.2f and %.2f", c.name, got, want, sd, sure)
		if c.f.RestsOn.WeatherDays < c.days-1 || c.f.RestsOn.WeatherDays > c.days+1 {
			t.Errorf("%s: rests on %d days, not about %d", c.name, c.f.RestsOn.WeatherDays, c.days)
		}
		if math.Abs(got-want) > c.within*want {
			t.Errorf("%s: %.2f fruit newly ripe in a week, %.2f with a logger", c.name, got, want)
		}
		if c.wider && sd <= sure {
			t.Errorf("%s: a standard deviation of %.3f, %.3f with a logger", c.name, sd, sure)
		}
		if words := strings.Join(c.f.Warnings, "\n"); !strings.Contains(words, c.say) {
			t.Errorf("%s: nothing of %q is said, but\n%s", c.name, c.say, words)
		}
	}
}
