package ledger_test

import (
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// spoilCount makes one count of a stage too high, in a copy of the visits.
func spoilCount(t *rapid.T, visits []crop.Visit, visit int, stages []string) []crop.Visit {
	spoiled := slices.Clone(visits)
	counts := maps.Clone(spoiled[visit].Counts)
	counted := slices.DeleteFunc(slices.Clone(stages), func(s string) bool { _, ok := counts[s]; return !ok })
	if len(counted) == 0 {
		return nil
	}
	counts[rapid.SampledFrom(counted).Draw(t, "stage")] += rapid.IntRange(1, 40).Draw(t, "too many")
	spoiled[visit].Counts = counts
	return spoiled
}

// TestOneOvercount: with whole counts that are right but for one, not the last, "set at least" holds, however much that one
// has too many, and whether fruit vanished or not.
func TestOneOvercount(t *testing.T) {
	for name, h := range map[string]habits{"complete records": {}, "fruit vanishes": {vanishing: true}} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				life := drawHistory(t, h)
				n := len(life.records.Visits)
				if n < 2 {
					t.Skip("one count too few")
				}
				life.records.Visits = spoilCount(t, life.records.Visits, rapid.IntRange(0, n-2).Draw(t, "visit"), life.records.Scale.Names())
				book := ledger.Of(life.records)
				checkInvariants(t, &book)
				if got := book.Totals.SetAtLeast; got > len(life.fruit) {
					t.Errorf("set at least %d, in truth %d", got, len(life.fruit))
				}
			})
		})
	}
}

// TestOneOvercountInPart: where only some stages are counted, a count that is too high and that the ledger doubts raises
// neither what was set at least nor what stands at least.
func TestOneOvercountInPart(t *testing.T) {
	doubted := 0
	rapid.Check(t, func(t *rapid.T) {
		life := drawHistory(t, habits{partial: true})
		n := len(life.records.Visits)
		if n < 2 {
			t.Skip("one count too few")
		}
		visit := rapid.IntRange(0, n-2).Draw(t, "visit")
		spoiled := spoilCount(t, life.records.Visits, visit, life.records.Scale.Names())
		if spoiled == nil || spoiled[visit].Total != nil {
			t.Skip("no stage was counted, or the total shows the mistake")
		}
		life.records.Visits = spoiled
		book := ledger.Of(life.records)
		checkInvariants(t, &book)
		if book.Visits[visit].Doubted == nil {
			t.Skip("no later count shows it")
		}
		doubted++
		if got := book.Totals.SetAtLeast; got > len(life.fruit) {
			t.Errorf("set at least %d, in truth %d", got, len(life.fruit))
		}
		if got := book.Totals.StandingAtLeast; got > life.standing() {
			t.Errorf("standing at least %d, in truth %d", got, life.standing())
		}
	})
	if doubted < 10 {
		t.Errorf("only %d overcounts were doubted; the check proves little", doubted)
	}
}
