package glm

import (
	"errors"
	"testing"
)

// TestNoDispersion: counts and shares that are closer together than chance makes them have no dispersion to estimate.
func TestNoDispersion(t *testing.T) {
	x := [][]float64{{1}, {1}, {1}, {1}, {1}, {1}}
	y := []float64{5, 5, 5, 5, 5, 6}
	r := new(Refusal)
	if f, err := NegativeBinomial(Data{X: x, Y: y}); !errors.As(err, &r) {
		t.Errorf("counts: got %+v, %v; want a refusal", f, err)
	}
	if f, err := BetaBinomial(Data{X: x, Y: y, Trials: []float64{10, 10, 10, 10, 10, 10}}); !errors.As(err, &r) {
		t.Errorf("shares: got %+v, %v; want a refusal", f, err)
	}
	if f, err := NegativeBinomial(Data{X: x, Y: []float64{0.5, 9, 0, 3, 20, 1}}); !errors.As(err, &r) {
		t.Errorf("half a fruit: got %+v, %v; want a refusal", f, err)
	}
}

func BenchmarkNegativeBinomial(b *testing.B) {
	d := Data{Y: []float64{2, 15, 0, 24, 3, 45, 1, 30, 20, 4}}
	for i := range d.Y {
		d.X = append(d.X, []float64{1, float64(i % 2)})
	}
	for b.Loop() {
		if _, err := NegativeBinomial(d); err != nil {
			b.Fatal(err)
		}
	}
}
