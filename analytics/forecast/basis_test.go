package forecast_test

import (
	"strings"
	"testing"
	"time"

	"vinetally/analytics/forecast"
)

// TestBasisOfSomePlaces: where one of two places has no readings, the forecast rests on those of the other, and says that they aren't of both.
func TestBasisOfSomePlaces(t *testing.T) {
	trial := trialOf(t, everyWeek(4, usual), everyWeek(4, usual))
	trial.Plants[1].PlaceID = outdoors
	warm(trial, here, "2026-03-25T00:00:00Z", 40, time.Hour, func(float64) float64 { return 21 })
	asOf := instant("2026-04-25T20:00:00Z")
	f := forecast.Of(modelOf(trial.AsOf(asOf), asOf), forecast.Options{Days: 14})
	if words := f.Basis(); !strings.Contains(words, "temperatures of the last 32 days, but not of every place") {
		t.Error(words)
	}
	if r := f.RestsOn; r.WeatherDays != 0 || r.MostWeatherDays != 32 {
		t.Errorf("%+v", r)
	}
}

// TestFrost: readings that no tomato plant lives through are named as such, where plants stand.
func TestFrost(t *testing.T) {
	trial := trialOf(t, everyWeek(4, usual))
	warm(trial, here, "2026-03-25T00:00:00Z", 40, time.Hour, func(hour float64) float64 {
		if hour > 200 && hour < 230 {
			return -20
		}
		return 21
	})
	warm(trial, outdoors, "2026-03-25T00:00:00Z", 40, time.Hour, func(float64) float64 { return -9 })
	asOf := instant("2026-04-25T20:00:00Z")
	f := forecast.Of(modelOf(trial.AsOf(asOf), asOf), forecast.Options{Days: 14})
	words := strings.Join(f.Warnings, "\n")
	if !strings.Contains(words, "here: -20 °C was read on 2 Apr 2026") || strings.Contains(words, "outdoors: ") {
		t.Error(words)
	}
}
