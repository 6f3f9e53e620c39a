package countdist

import (
	"math"
	"testing"
	"time"
)

// TestWideSum: two distributions too wide to convolve add up in no time, to about the quantiles of those that are just narrow enough, scaled.
func TestWideSum(t *testing.T) {
	begun := time.Now()
	wide := Sum(Matched(60_000, 4e8), Matched(30_000, 4e8))
	if took := time.Since(begun); took > 5*time.Second {
		t.Errorf("it took %v", took)
	}
	narrow := Sum(Matched(6_000, 4e6*0.25), Matched(3_000, 4e6*0.25))
	if m := wide.Mean(); math.Abs(m-90_000) > 90 {
		t.Errorf("mean %v, want 90,000", m)
	}
	for _, p := range []float64{0.05, 0.25, 0.5, 0.75, 0.95} {
		z := (float64(wide.Quantile(p)) - 90_000) / math.Sqrt(8e8)
		if want := (float64(narrow.Quantile(p)) - 9_000) / math.Sqrt(2e6); math.Abs(z-want) > 0.15 {
			t.Errorf("quantile %v is %.3f standard deviations from the mean, of narrower ones %.3f", p, z, want)
		}
	}
}
