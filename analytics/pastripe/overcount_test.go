package pastripe_test

import (
	"maps"
	"testing"

	"pgregory.net/rapid"

	"vinetally/analytics/ledger"
	"vinetally/analytics/pastripe"
)

// TestOvercountBearsNothing: a count with too many ripe fruit, which a later one contradicts beyond what a miscount explains,
// makes no more fruit certain than are in truth past ripe.
func TestOvercountBearsNothing(t *testing.T) {
	doubted, old := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		d := draw(t, false, false)
		n := len(d.records.Visits)
		if n < 2 {
			t.Skip("one count too few")
		}
		i := rapid.IntRange(0, n-2).Draw(t, "visit")
		counts := maps.Clone(d.records.Visits[i].Counts)
		counts["red"] += rapid.IntRange(1, 44).Draw(t, "too many")
		d.records.Visits[i].Counts = counts
		q := ask(t, len(d.steps))
		book := ledger.Of(d.records)
		if !book.Visits[i].DoubtedAt(book.Ripe) {
			t.Skip("no later count shows it")
		}
		got := pastripe.Of(d.records, book, q.asOf, q.holdDays)
		truth := 0
		for _, f := range d.fruit {
			if !f.gone && f.since <= q.last {
				truth++
			}
		}
		if got.Certain > truth {
			t.Errorf("certain %d, in truth %d", got.Certain, truth)
		}
		doubted++
		old += truth
	})
	if doubted < 10 || old == 0 {
		t.Errorf("%d overcounts were doubted, with %d fruit past ripe in truth; the check proves little", doubted, old)
	}
}
