package ledger_test

import (
	"testing"

	"vinetally/analytics/ledger"
	"vinetally/testdata/demoseasons"
	"vinetally/testdata/demotrial"
)

// TestDemoTruth: of no plant of the demo trial are more fruit called set at least, or standing at least, than the simulation has
// that its records were made from, though a count has a digit doubled, a picking ten too many, and more is wrong in them. The
// bounds are worth having all the same: together they are within one in twenty of the truth.
func TestDemoTruth(t *testing.T) {
	trials := demoseasons.Load(t)
	truth := map[string]demotrial.PlantTruth{}
	for _, p := range demotrial.Simulate().Truth {
		truth[p.Season+p.Plant] = p
	}
	for _, season := range []string{demoseasons.Winter, demoseasons.Autumn} {
		set, trulySet := 0, 0
		for _, r := range trials[season].ByPlant() {
			book := ledger.Of(r)
			checkInvariants(t, &book)
			p, ok := truth[season+book.Plant]
			if !ok {
				t.Fatalf("%s, %s: the simulation has no such plant", season, book.Plant)
			}
			if book.Totals.SetAtLeast > p.Set {
				t.Errorf("%s, %s: set at least %d, in truth %d", season, p.Plant, book.Totals.SetAtLeast, p.Set)
			}
			if book.Totals.StandingAtLeast > p.Left {
				t.Errorf("%s, %s: standing at least %d, in truth %d", season, p.Plant, book.Totals.StandingAtLeast, p.Left)
			}
			set, trulySet = set+book.Totals.SetAtLeast, trulySet+p.Set
		}
		t.Logf("%s: set at least %d, in truth %d", season, set, trulySet)
		if 20*set < 19*trulySet {
			t.Errorf("%s: set at least %d, in truth %d: a poor bound", season, set, trulySet)
		}
	}
}
