package forecast_test

import (
	"slices"
	"testing"
)

// TestTwelveMillionFruit: a season of nonsense, as large as records may be, is forecast like any other.
func TestTwelveMillionFruit(t *testing.T) {
	f := forecastOf(t, trialOf(t, slices.Repeat([]string{"count 2026-05-20T18:00:00Z green=0 breaker=0 turning=0 red=100000"}, 120)...), instant("2026-05-20T20:00:00Z"))
	sane(t, f)
	if f.RipeNow.Mean < 11e6 || f.RipeNow.Mean > 13e6 {
		t.Errorf("%+v hang ripe", f.RipeNow)
	}
}
