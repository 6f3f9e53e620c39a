package forecast_test

import (
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// TestDayOfAMove: on the day on which a plant is moved, by the clock of its place, its forecast is of the new place's weather and that of a plant that
// stays of the old one's, whichever of the two is asked first.
func TestDayOfAMove(t *testing.T) {
	asOf := instant("2026-05-23T20:30:00Z") // half past eight on the 24th in Auckland
	of := func(moved int) []float64 {
		trial := trialOf(t, everyWeek(8, usual), everyWeek(8, usual))
		for i := range trial.Places {
			trial.Places[i].TimeZone = "Pacific/Auckland"
		}
		if moved >= 0 {
			trial.Plants[moved].Moves = []crop.Move{{PlaceID: outdoors, On: crop.Date{Year: 2026, Month: 5, Day: 24}}}
		}
		warm(trial, here, "2026-02-01T00:00:00Z", 112, time.Hour, func(float64) float64 { return 24 })
		warm(trial, outdoors, "2026-02-01T00:00:00Z", 112, time.Hour, func(float64) float64 { return 12 })
		f := forecast.Of(modelOf(trial.AsOf(asOf), asOf), forecast.Options{Days: 14})
		return []float64{f.Plants[0].NewlyRipe[13].Mean, f.Plants[1].NewlyRipe[13].Mean}
	}
	warm := of(-1)
	for moved := range 2 {
		got := of(moved)
		if stays := 1 - moved; got[stays] < 0.9*warm[stays] || got[moved] > 0.8*warm[moved] {
			t.Errorf("plant %d is moved: %.2f are ripe in two weeks, %.2f if none is", moved, got, warm)
		}
	}
}
