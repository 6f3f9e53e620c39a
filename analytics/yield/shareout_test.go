package yield_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

// TestSharedOutByHand: A1 and A2 have 4 and 6 fruit in a bowl of 110 g. 4 fruit at 10 g and 6 at 12 g were weighed by themselves in the
// week, so one fruit's variance is 9.6 (as in TestEstimatedMass) and that of A1's share of 44 g 4·(1 − 4/10)·9.6 = 23.04. Both plants
// together have the whole bowl, which was weighed.
func TestSharedOutByHand(t *testing.T) {
	alone := []crop.Picking{pick(a1, "2026-05-04", 4, grams(40)), pick(a1, "2026-05-05", 6, grams(72))}
	bowl := []crop.Picking{pick(a1, "2026-05-06", 4, weighing("bowl")), pick(a2, "2026-05-06", 6, grams(110), weighing("bowl"))}
	all := yield.Plants(trial(append(alone, bowl...)...), may20)
	g := all[0].Grams
	if !near(g.G(), 156) || !near(g.Variance(), 23.04) {
		t.Errorf("A1 has %v g with variance %v, want 156 and 23.04", g.G(), g.Variance())
	}
	low, high := g.Interval()
	if half := math.Tan(0.45*math.Pi) * math.Sqrt(23.04); !near(*low, 156-half) || !near(*high, 156+half) {
		t.Errorf("A1: %v to %v, want 156 ± %v", *low, *high, half)
	}
	both := g.Plus(all[1].Grams)
	if low, high := both.Interval(); !near(both.G(), 222) || *low != both.G() || *high != both.G() {
		t.Errorf("A1 and A2 have %v g (%v to %v), want the 222 weighed", both.G(), *low, *high)
	}
}

// TestSharedOutWithoutAnInterval: where nothing tells how fruit differ, and where fruit of several kinds lay together, a share has none.
func TestSharedOutWithoutAnInterval(t *testing.T) {
	alone := []crop.Picking{pick(a1, "2026-05-04", 4, grams(40)), pick(a1, "2026-05-05", 6, grams(72))}
	for name, picks := range map[string][]crop.Picking{
		"no other weighing": {pick(a1, "2026-05-06", 4, weighing("bowl")), pick(a2, "2026-05-06", 6, grams(110), weighing("bowl"))},
		"two cultivars":     append(alone, pick(a1, "2026-05-06", 4, weighing("bowl")), pick(b1, "2026-05-06", 6, grams(110), weighing("bowl"))),
		"with culls":        append(alone, pick(a1, "2026-05-06", 4, weighing("bowl")), pick(a2, "2026-05-06", 6, grams(110), weighing("bowl"), cull)),
		"fruit not counted": append(alone, pick(a1, "2026-05-06", 4, weighing("bowl")), pick(a2, "2026-05-06", notCounted, grams(110), weighing("bowl"))),
	} {
		if low, _ := yield.Plants(trial(picks...), may20)[0].Grams.Interval(); low != nil {
			t.Errorf("%s: the interval begins at %v, want none", name, *low)
		}
	}
}

// TestSharedOutIsCovered: the 90 % interval of a plant's half of a bowl of ten holds its true mass in about 90 of 100.
func TestSharedOutIsCovered(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 9))
	held := 0
	const trials = 2000
	for range trials {
		own, other := massOf(rng, 5), massOf(rng, 5)
		all := yield.Plants(trial(pick(a2, "2026-05-04", 5, grams(massOf(rng, 5))), pick(a2, "2026-05-05", 5, grams(massOf(rng, 5))), pick(a2, "2026-05-06", 5, grams(massOf(rng, 5))),
			pick(a1, "2026-05-07", 5, weighing("bowl")), pick(a2, "2026-05-07", 5, grams(own+other), weighing("bowl"))), may20)
		if low, high := all[0].Grams.Interval(); *low <= own && own <= *high {
			held++
		}
	}
	if share := float64(held) / trials; share < 0.88 || share > 0.92 {
		t.Errorf("%.3f of the intervals hold the mass, want 0.90", share)
	}
}
