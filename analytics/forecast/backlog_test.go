package forecast_test

import (
	"testing"

	"vinetally/analytics/crop"
)

// TestBacklog: of much fruit that hangs too long already all is picked at once, and it makes nobody pick every day thereafter.
func TestBacklog(t *testing.T) {
	const red = `
		count 2026-03-01T09:00:00Z green=20 breaker=1 turning=1 red=4
		count 2026-03-08T09:00:00Z green=18 breaker=1 turning=1 red=6
		count 2026-03-15T09:00:00Z green=16 breaker=1 turning=1 red=8
		count 2026-03-22T09:00:00Z green=14 breaker=1 turning=1 red=10`
	asOf := instant("2026-03-24T09:00:00Z")
	f := forecastOf(t, trialOf(t, red, red), asOf)
	if f.PastRipe.Mean < 5 {
		t.Fatalf("%.1f past ripe, so there is no backlog", f.PastRipe.Mean)
	}
	picks := f.Plan.Picks
	if len(picks) < 2 || len(picks) > 6 || picks[0].On != crop.DateOf(asOf) {
		t.Errorf("%d picking days in two weeks from %s: %+v", len(picks), asOf, picks)
	}
}
