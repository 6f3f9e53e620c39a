package curve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestShrinkageByHand: with equal errors μ is the plain mean and τ² the variance less the errors'; k = 5, v = 4, y of variance 14.
func TestShrinkageByHand(t *testing.T) {
	y := []float64{85, 88, 90, 91, 95} // mean 89.8, Σ (y−μ)² = 54.8, so τ² = 54.8/4 − 4 = 9.7
	got := shrunken(y, []float64{4, 4, 4, 4, 4})
	const b = 2.0 / 4 * 4 / 13.7
	for i, s := range got {
		if want := (1-b)*y[i] + b*89.8; math.Abs(s.Days-want) > 1e-9 || math.Abs(s.OwnWeight-(1-b)) > 1e-9 || math.Abs(s.PlantsSD-math.Sqrt(9.7)) > 1e-9 {
			t.Errorf("%v became %+v, want %v", y[i], s, want)
		}
	}
	// Morris's variance of the first: 4·(1 − 0.8·B) + (2/2)·B²·(85 − 89.8)².
	want := 1.6448536269514722 * math.Sqrt(4*(1-0.8*b)+b*b*4.8*4.8)
	if half := (got[0].High - got[0].Low) / 2; math.Abs(half-want) > 1e-9 {
		t.Errorf("half-width %v, want %v", half, want)
	}
	if alike := shrunken([]float64{90, 90.1, 89.9, 90}, []float64{4, 4, 4, 4}); alike[1].PlantsSD != 0 || math.Abs(alike[1].OwnWeight-2.0/3) > 1e-9 {
		t.Errorf("plants alike: %+v", alike[1])
	}
}

// TestShrinkagePays: over many plants the shrunken t50 lie nearer to the truth than the plants' own, and their intervals hold it.
func TestShrinkagePays(t *testing.T) {
	rng := rand.New(rand.NewPCG(2026, 81))
	own, drawn, held, n := 0.0, 0.0, 0, 0
	for range 60 {
		var y, v, truth []float64
		for range 8 {
			middle := simulatedMiddle + 2*rng.NormFloat64()
			s := simulate(conduct{plants: 1, fruit: 12, every: 4, seen: 0.97}, rng)
			f, err := fit(s)
			if err != nil || f.unfinished() {
				continue
			}
			how, _ := f.spread(Subject{Scope: ScopePlant})
			if how == nil {
				continue
			}
			if e := f.halfError(how); e.se > 0 {
				y, v, truth = append(y, e.days+middle-simulatedMiddle), append(v, e.se*e.se), append(truth, middle)
			}
		}
		if len(y) < minPlantsForCultivar {
			continue
		}
		for i, s := range shrunken(y, v) {
			own += (y[i] - truth[i]) * (y[i] - truth[i])
			drawn += (s.Days - truth[i]) * (s.Days - truth[i])
			if s.Low <= truth[i] && truth[i] <= s.High {
				held++
			}
			n++
		}
	}
	share := 100 * float64(held) / float64(n)
	t.Logf("%d plants: mean squared error %.2f own, %.2f shrunken; intervals hold %.1f %%", n, own/float64(n), drawn/float64(n), share)
	if n < 300 || drawn > 0.9*own {
		t.Errorf("%d plants: mean squared error %.2f own, %.2f shrunken", n, own/float64(n), drawn/float64(n))
	}
	if share < 86 || share > 96 {
		t.Errorf("90 %% intervals hold %.1f %%", share)
	}
}
