package isotonic

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"vinetally/analytics/internal/refcheck"
)

// TestReferenceIsotonic checks fits against exact rational arithmetic; the files say how.
func TestReferenceIsotonic(t *testing.T) {
	refcheck.Run(t, "analytics/isotonic", map[string]refcheck.Handler{
		"isotonic regression (pool adjacent violators)": pooled,
	})
}

func pooled(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Y, Weight  []float64
		Increasing bool
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	method := Falling
	if in.Increasing {
		method = Rising
	}
	fit, err := method(in.Y, in.Weight)
	if err != nil {
		return nil, err
	}
	return []refcheck.Answer{{Got: map[string]any{"fit": fit.Values, "block_sizes": fit.Blocks, "weighted_sse": fit.SSE}}}, nil
}

// TestMonotone: whatever comes in, what comes out rises, keeps the weighted mean, and turned round it falls.
func TestMonotone(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		n := 1 + rng.IntN(30)
		y, w, turned := make([]float64, n), make([]float64, n), make([]float64, n)
		sum := 0.0
		for i := range y {
			y[i], w[i] = float64(rng.IntN(9)), 1+float64(rng.IntN(4))
			turned[i] = -y[i]
			sum += w[i] * y[i]
		}
		up, err := Rising(y, w)
		if err != nil {
			t.Fatal(err)
		}
		down, err := Falling(turned, w)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.IsSorted(up.Values) {
			t.Fatalf("%v became %v", y, up.Values)
		}
		for i := range y {
			sum -= w[i] * up.Values[i]
			if math.Abs(up.Values[i]+down.Values[i]) > 1e-12 {
				t.Fatalf("%v: rising %v, turned round %v", y, up.Values, down.Values)
			}
		}
		if math.Abs(sum) > 1e-9 {
			t.Fatalf("%v with weights %v: the mean has moved", y, w)
		}
	}
}

func TestInvalid(t *testing.T) {
	for _, c := range [][2][]float64{{{1, 2}, {1}}, {{1, 2}, {1, 0}}, {{1, math.NaN()}, nil}, {{1, 2}, {1, math.Inf(1)}}} {
		if _, err := Rising(c[0], c[1]); !errors.As(err, new(*Invalid)) {
			t.Errorf("%v: %v", c, err)
		}
	}
	if f, err := Rising(nil, nil); err != nil || len(f.Values) > 0 {
		t.Errorf("of nothing: %v, %v", f, err)
	}
}
