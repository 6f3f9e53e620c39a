package yield_test

import (
	"math/rand/v2"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

// TestEstimatedMassIsCovered: a plant's fruit were weighed in two, three or five lots of five in one week, and the mass of five more is
// estimated. Single fruit weigh 10 ± 2 g. The 90 % interval of all holds their true mass in about 90 of 100 (2,000 trials,
// standard error 0.7), also where two weighings tell little of how fruit differ.
func TestEstimatedMassIsCovered(t *testing.T) {
	for _, lots := range []int{2, 3, 5} {
		rng := rand.New(rand.NewPCG(uint64(lots), 7))
		held := 0
		const trials = 2000
		for range trials {
			var picks []crop.Picking
			weighed := 0.0
			for i := range lots {
				g := massOf(rng, 5)
				weighed += g
				picks = append(picks, pick(a1, []string{"2026-05-04", "2026-05-05", "2026-05-06", "2026-05-07", "2026-05-08"}[i], 5, grams(g)))
			}
			picks = append(picks, pick(a1, "2026-05-09", 5))
			truth := weighed + massOf(rng, 5)
			low, high := yield.Plants(trial(picks...), may20)[0].Grams.Interval()
			if *low <= truth && truth <= *high {
				held++
			}
		}
		if share := float64(held) / trials; share < 0.88 || share > 0.92 {
			t.Errorf("%d weighings: %.3f of the intervals hold the mass, want 0.90", lots, share)
		}
	}
}

// massOf is the mass of n fruit, g, of 10 ± 2 g each.
func massOf(rng *rand.Rand, n int) (sum float64) {
	for range n {
		sum += 10 + 2*rng.NormFloat64()
	}
	return sum
}
