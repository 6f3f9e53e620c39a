package curve

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"vinetally/analytics/estimate"
)

// TestAverageByHand: two families at 10 and 14 with weights 0.75 and 0.25 meet at 11, and a half-width of 3 with q = 2 becomes
// 0.75·√(9 + 4) + 0.25·√(9 + 36).
func TestAverageByHand(t *testing.T) {
	// At a half the logistic stands at t0; the Gompertz curve at t0 − ln(ln 2)/k.
	shift := -math.Log(math.Ln2) / 0.2
	f := &fitted{all: []weighted{
		{estimate.LogisticRate{}, []float64{60, 0.2, 10}, 0.75},
		{estimate.GompertzRate{}, []float64{60, 0.2, 14 - shift}, 0.25},
	}}
	x, widen := f.average(0.5, 10)
	if math.Abs(x-11) > 1e-12 {
		t.Errorf("the average is %v, want 11", x)
	}
	if got, want := widen(3, 2), 0.75*math.Sqrt(13)+0.25*math.Sqrt(45); math.Abs(got-want) > 1e-12 {
		t.Errorf("the half-width is %v, want %v", got, want)
	}
	f.all = f.all[:1]
	if x, widen := f.average(0.5, 10); x != 10 || widen(3, 2) != 3 {
		t.Errorf("one family alone: %v, %v", x, widen(3, 2))
	}
}

// TestDisagreementIsSaid: the words name weights and days where families of like weight differ, and only there.
func TestDisagreementIsSaid(t *testing.T) {
	said, silent := 0, 0
	rng := rand.New(rand.NewPCG(2026, 71))
	for range 60 {
		f, err := fit(simulate(conduct{plants: 1, fruit: 25, every: 5, seen: 0.97}, rng))
		if err != nil {
			continue
		}
		sum := 0.0
		for _, w := range f.all {
			sum += w.weight
			if w.weight < leastWeight {
				t.Errorf("a weight of %v is averaged over", w.weight)
			}
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("the weights add up to %v", sum)
		}
		switch words := f.disagreement(); {
		case words == "":
			silent++
		case len(f.all) < 2 || !strings.Contains(words, "weighted means"):
			t.Errorf("of %d families: %s", len(f.all), words)
		default:
			said++
		}
	}
	if said < 3 || silent < 3 {
		t.Errorf("said %d times, silent %d times: the test shows nothing", said, silent)
	}
}
