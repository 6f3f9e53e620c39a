package yield_test

import (
	"math"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

// TestRipeMass, worked by hand: weighings of 2, 1 and 3 red fruit with 9, 6 and 8 g each have the mean (18 + 6 + 24)/6 = 8 g, s² =
// (2·1² + 1·2² + 3·0²)/2 = 3 g² and the standard error √(3/6).
func TestRipeMass(t *testing.T) {
	red := crop.DefaultScale()
	other := []crop.Picking{pick(a1, "2026-05-01", 4, grams(8), stage("green")), pick(b1, "2026-05-01", 4, grams(80)), pick(a1, "2026-05-02", 5)}
	w := yield.NewWeights(trial(append(other, pick(a1, "2026-05-01", 2, grams(18)), pick(a2, "2026-05-09", 1, grams(6)), pick(a1, "2026-05-20", 3, grams(24)))...))
	if mean, se, ok := w.RipeMass(alder, &red); !ok || math.Abs(mean-8) > 1e-12 || math.Abs(se-math.Sqrt(0.5)) > 1e-12 {
		t.Errorf("got %v, %v, %v; want 8 g with %v", mean, se, ok, math.Sqrt(0.5))
	}
	for name, v := range map[string]crop.ID{"weighed once": birch, "never": cedar} {
		if mean, se, ok := w.RipeMass(v, &red); ok {
			t.Errorf("%s: got %v with %v, want none", name, mean, se)
		}
	}
}
