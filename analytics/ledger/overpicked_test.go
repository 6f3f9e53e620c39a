package ledger_test

import (
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vinetally/analytics/ledger"
)

// TestMoreTakenThanStood spoils the end of a history with complete records in one of the three ways in which more can seem
// to be taken on the day of a count than stood: fruit of a stage was overlooked at the count, a picking has too many, or a
// picking names the stage after its own. What stands at least must be true, and the fruit of the stages before the one in
// question (in the third case, before its neighbour) must not be lost by it.
func TestMoreTakenThanStood(t *testing.T) {
	seen := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		life := drawHistory(t, habits{})
		r := &life.records
		if life.lastSeen < life.lastStep {
			t.Skip("fruit was set and ripened after the last count")
		}
		stages := r.Scale.Names()
		last := r.Visits[len(r.Visits)-1]
		after := []int{} // the pickings on the day of the last count and after it
		for i, p := range r.Pickings {
			if p.PickedAt.At.Equal(last.CountedAt.At) && !p.BeforeCount {
				after = append(after, i)
			}
		}
		if len(after) == 0 {
			t.Skip("nothing was picked at the last count")
		}
		picked := &r.Pickings[rapid.SampledFrom(after).Draw(t, "picking")]
		stage := slices.Index(stages, picked.Stage)
		how := rapid.SampledFrom([]string{"overlooked", "too many", "called riper"}).Draw(t, "how")
		safe := stage - 1
		switch how {
		case "overlooked":
			counts := maps.Clone(last.Counts)
			counts[picked.Stage] -= rapid.IntRange(1, counts[picked.Stage]).Draw(t, "overlooked")
			r.Visits[len(r.Visits)-1].Counts = counts
		case "too many":
			picked.Fruits = new(*picked.Fruits + rapid.IntRange(1, 30).Draw(t, "too many"))
		case "called riper":
			if stage == len(stages)-1 {
				t.Skip("nothing is riper")
			}
			picked.Stage, safe = stages[stage+1], stage
		}
		book := ledger.Of(*r)
		checkInvariants(t, &book)
		for _, c := range book.Contradictions {
			if c.Code == ledger.PickedMoreThanStood {
				seen[how]++
			}
		}
		others := 0
		for _, f := range life.fruit {
			if !f.gone && f.stage < safe {
				others++
			}
		}
		total := &book.Totals
		if total.StandingAtLeast > life.standing() || total.StandingAtLeast < others {
			t.Errorf("%s: standing at least %d, in truth %d stand, %d of them before the stage in question or its neighbour", how,
				total.StandingAtLeast, life.standing(), others)
		}
		if total.Standing != nil && (*total.Standing > life.standing() || *total.Standing < others) {
			t.Errorf("%s: standing %d, in truth %d", how, *total.Standing, life.standing())
		}
	})
	for _, how := range []string{"overlooked", "too many", "called riper"} {
		if seen[how] == 0 {
			t.Errorf("%s: never contradicted a count; the check proves little", how)
		}
	}
	t.Logf("contradictions: %v", seen)
}
