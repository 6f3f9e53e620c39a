package survival

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

var inf = math.Inf(1)

func TestRefusals(t *testing.T) {
	for name, data := range map[string][]Interval{
		"nothing":            nil,
		"backwards":          {{Left: 4, Right: 2, Weight: 1}},
		"before 0":           {{Left: -1, Right: 2, Weight: 1}},
		"all still waiting":  {{Left: 4, Right: inf, Weight: 1}, {Left: 6, Right: inf, Weight: 1}},
		"all in one stretch": {{Left: 4, Right: 6, Weight: 9}},
		"all at one instant": {{Left: 5, Right: 5, Weight: 3}, {Left: 5, Right: 5, Weight: 4}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, family := range []Family{Weibull, LogNormal, LogLogistic} {
				a, err := FitAFT(data, family)
				if r := new(Refusal); !errors.As(err, &r) {
					t.Errorf("family %d: got %+v, %v; want a refusal", family, a, err)
				}
			}
		})
	}
}

// TestGroupWithoutTimes: a group of which nothing has come has a covariate without end.
func TestGroupWithoutTimes(t *testing.T) {
	var data []Interval
	for i := range 8 {
		at := float64(i)
		data = append(data, Interval{Left: 2 + at, Right: 4 + at, Weight: 1, X: []float64{0}}, Interval{Left: 5 + at, Right: inf, Weight: 1, X: []float64{1}})
	}
	for _, family := range []Family{Weibull, LogNormal, LogLogistic} {
		a, err := FitAFT(data, family)
		if r := new(Refusal); !errors.As(err, &r) {
			t.Errorf("family %d: got %+v, %v; want a refusal", family, a, err)
		}
	}
}

// TestUnitsOfACovariate: a covariate in other units has its coefficient in them, and is never refused for them.
func TestUnitsOfACovariate(t *testing.T) {
	fit := func(unit float64) *AFT {
		var data []Interval
		for i := range 8 {
			at := float64(i)
			data = append(data, Interval{Left: 2 + at, Right: 4 + at, Weight: 1, X: []float64{0}}, Interval{Left: 5 + 2*at, Right: 8 + 2*at, Weight: 1, X: []float64{unit}})
		}
		a, err := FitAFT(data, Weibull)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	const unit = 1e9
	one, other := fit(1), fit(unit)
	for name, d := range map[string]float64{
		"coefficient":    other.Coef[1]*unit/one.Coef[1] - 1,
		"standard error": other.SE()[1]*unit/one.SE()[1] - 1,
		"scale":          other.Scale()/one.Scale() - 1,
	} {
		if !(math.Abs(d) < 1e-9) {
			t.Errorf("the %s is off by %g of itself", name, d)
		}
	}
}

// TestRecovers draws log-normal times seen every two days and finds them again within the error that it states.
func TestRecovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	var data []Interval
	for range 2000 {
		at := math.Exp(2 + 0.3*rng.NormFloat64())
		left := 2 * math.Floor(at/2)
		data = append(data, Interval{Left: left, Right: left + 2, Weight: 1})
	}
	a, err := FitAFT(data, LogNormal)
	if err != nil {
		t.Fatal(err)
	}
	if d := (a.Coef[0] - 2) / a.SE()[0]; math.Abs(d) > 3 {
		t.Errorf("location %v is %v standard errors off", a.Coef[0], d)
	}
	if d := (a.LogScale - math.Log(0.3)) / a.SE()[1]; math.Abs(d) > 3 {
		t.Errorf("scale %v is %v standard errors off", a.Scale(), d)
	}
}

// TestTurnbullOfExactTimes: without censoring the estimate is the empirical distribution.
func TestTurnbullOfExactTimes(t *testing.T) {
	turnbull, err := FitTurnbull([]Interval{{Left: 2, Right: 2, Weight: 1}, {Left: 5, Right: 5, Weight: 2}, {Left: 7, Right: 7, Weight: 1}})
	if err != nil {
		t.Fatal(err)
	}
	for j, want := range []float64{0.25, 0.5, 0.25} {
		if math.Abs(turnbull.Mass[j]-want) > 1e-12 {
			t.Errorf("mass %d is %v, want %v", j, turnbull.Mass[j], want)
		}
	}
}

func BenchmarkFitAFT(b *testing.B) {
	var data []Interval
	for i := range 60 {
		left := float64(4 + i%9)
		data = append(data, Interval{Left: left, Right: left + 2, Weight: 1})
	}
	for b.Loop() {
		if _, err := FitAFT(data, Weibull); err != nil {
			b.Fatal(err)
		}
	}
}
