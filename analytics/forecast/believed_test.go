package forecast_test

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// TestRipeFruitIsBelieved: ripe fruit that was counted hangs, however cool the place is in which it took long to become ripe, and however early a sowing
// it comes from; at the first count or as soon as another one agrees.
func TestRipeFruitIsBelieved(t *testing.T) {
	first := []string{"count 2026-02-28 green=24 breaker=3 turning=2 red=4", "count 2026-02-28 green=0 breaker=0 turning=0 red=9"}
	again := `count 2026-02-10 green=20 breaker=0 turning=0 red=0
		count 2026-02-20 green=18 breaker=2 turning=0 red=0
		count 2026-02-24 green=14 breaker=0 turning=2 red=4
		count 2026-02-26 green=13 breaker=1 turning=1 red=5
		count 2026-02-28 green=12 breaker=1 turning=1 red=6`
	asOf := instant("2026-02-28T20:00:00Z")
	for _, airC := range []float64{4, 9, 10, 12, 14, 17, 20, 26, math.NaN()} {
		for _, text := range append(first, again) {
			for _, sown := range []bool{false, true} {
				trial := trialOf(t, text)
				if !math.IsNaN(airC) {
					warm(trial, here, "2025-08-01T00:00:00Z", 220, time.Hour, func(float64) float64 { return airC })
				}
				if sown {
					trial.Plants[0].SownOn = &crop.Date{Year: 2025, Month: 12, Day: 20}
				}
				f := forecastOf(t, trial, asOf)
				sane(t, f)
				red, err := strconv.ParseFloat(text[strings.LastIndex(text, "=")+1:], 64)
				if err != nil {
					t.Fatal(err)
				}
				if math.Abs(f.RipeNow.Mean-red) > 0.25*red || f.RipeNow.Low > red || f.RipeNow.High < red {
					t.Errorf("%v °C, sown late %v: %v red fruit were counted, %.2f (%v to %v) are thought to hang, after\n%s", airC, sown, red, f.RipeNow.Mean, f.RipeNow.Low, f.RipeNow.High, text)
				}
			}
		}
	}
}
