package estimate

import (
	"math"
	"testing"
)

var curveCases = []struct {
	curve   Curve
	formula string
	thetas  [][]float64
}{
	{Logistic{}, "y = Asym / (1 + exp((xmid - x)/scal))", [][]float64{{60, 30, 5}, {2.3, 1.5, 1.04}, {60, 30, -5}, {-4, 0, 2}}},
	{LogisticRate{}, "y = a / (1 + exp(-k*(x - t0)))", [][]float64{{60, 0.2, 30}, {60, -0.2, 30}}},
	{Gompertz{}, "y = Asym * exp(-b2 * b3^x)", [][]float64{{4.6, 2.27, 0.716}, {83, 3.4, 0.96}}},
	{GompertzRate{}, "y = a * exp(-exp(-k*(x - t0)))", [][]float64{{86, 0.028, 40}, {86, -0.1, 20}}},
	{FourParameter{}, "y = A + (B - A) / (1 + exp((xmid - x)/scal))", [][]float64{{27, 349, 19, 6.7}, {10, -3, 4, 1}}},
	{Weibull{}, "y = Asym - Drop * exp(-exp(lrc) * x^pwr)", [][]float64{{158, 111, -6, 2.65}, {70, 62, -9.2, 2.4}}},
	{WeibullGrowth{}, "y = a*(1 - exp(-(x/b)^c))", [][]float64{{60, 90, 12}, {3, 20, 1.4}}},
	{LogLogistic{}, "y = a/(1 + (x/b)^(-c))", [][]float64{{60, 90, 12}, {3, 20, 1.4}}},
	{Richards{}, "y = a*(1 + v*exp(-k*(x - t0)))^(-1/v)", [][]float64{{60, 0.2, 30, 0.5}, {60, 0.1, 20, 3}, {4, 0.3, 10, 1}}},
	{Line{}, "y = a + b*x", [][]float64{{1, 2}, {-3, 0}}},
}

// External route: the same formulas with derivatives by dual numbers.
func TestGradientsAreThoseOfTheFormula(t *testing.T) {
	for _, c := range curveCases {
		t.Run(c.curve.Family()+" "+c.curve.Names()[0], func(t *testing.T) {
			m := mustParse(t, c.formula)
			// The parser sorts parameters by first appearance; the families may not.
			order := make([]int, len(m.names))
			for j, n := range m.names {
				for k, own := range c.curve.Names() {
					if own == n {
						order[j] = k
					}
				}
			}
			for _, theta := range c.thetas {
				sorted := make([]float64, len(theta))
				for j, k := range order {
					sorted[j] = theta[k]
				}
				got, want := make([]float64, len(theta)), make([]float64, len(theta))
				for _, x := range []float64{0, 0.5, 3, 10, 19, 20, 33, 80} {
					c.curve.Gradient(x, theta, got)
					m.Gradient(x, sorted, want)
					scale := math.Abs(m.Value(x, sorted)) + 1
					if v, w := c.curve.Value(x, theta), m.Value(x, sorted); math.Abs(v-w) > 1e-12*scale {
						t.Errorf("value at %v of %v: got %v, want %v", x, theta, v, w)
					}
					for j, k := range order {
						if math.IsNaN(want[j]) && x == 0 {
							continue // ln 0 in the dual numbers
						}
						if math.Abs(got[k]-want[j]) > 1e-11*math.Max(scale, math.Abs(want[j])) {
							t.Errorf("∂/∂%s at %v of %v: got %v, want %v", m.names[j], x, theta, got[k], want[j])
						}
					}
				}
			}
		})
	}
}

func TestGradientsStayFiniteFarFromThePoints(t *testing.T) {
	for _, c := range curveCases {
		for _, theta := range c.thetas {
			grad := make([]float64, len(theta))
			for _, x := range []float64{0, 1e3, 1e5} {
				c.curve.Gradient(x, theta, grad)
				if v := c.curve.Value(x, theta); !allFinite(append(grad, v)...) {
					t.Errorf("%s %v at %v: value %v, gradient %v", c.curve.Family(), theta, x, v, grad)
				}
			}
		}
	}
}

func TestInverseUndoesValue(t *testing.T) {
	for _, c := range curveCases {
		s, ok := c.curve.(Sigmoid)
		if !ok {
			continue
		}
		for _, theta := range c.thetas {
			for _, share := range []float64{0.01, 0.1, 0.5, 0.9, 0.99} {
				grad := make([]float64, len(theta))
				x, ok := s.Inverse(share, theta, grad)
				if !ok {
					continue
				}
				want := share * s.Asymptote(theta)
				if got := s.Value(x, theta); math.Abs(got-want) > 1e-11*math.Abs(s.Asymptote(theta)) {
					t.Errorf("%s %v: value at inverse(%v) is %v, want %v", s.Family(), theta, share, got, want)
				}
				for j := range theta {
					h := 1e-5 * math.Max(math.Abs(theta[j]), 1e-3)
					at := func(v float64) float64 {
						moved := append([]float64{}, theta...)
						moved[j] = v
						x, _ := s.Inverse(share, moved, nil)
						return x
					}
					slope := (at(theta[j]+h) - at(theta[j]-h)) / (2 * h)
					if math.Abs(grad[j]-slope) > 1e-6*math.Max(1, math.Abs(slope)) {
						t.Errorf("%s %v: ∂inverse(%v)/∂%s is %v, want %v", s.Family(), theta, share, s.Names()[j], grad[j], slope)
					}
				}
			}
		}
	}
}

func TestInverseRefusesAShareThatTheCurveNeverHas(t *testing.T) {
	if x, ok := (FourParameter{}).Inverse(0.05, []float64{27, 349, 19, 6.7}, nil); ok {
		t.Errorf("four-parameter logistic starting at 27 of 349: got %v for a share of 0.05", x)
	}
	if x, ok := (Weibull{}).Inverse(0.1, []float64{158, 111, -6, 2.65}, nil); ok {
		t.Errorf("Weibull curve starting at 47 of 158: got %v for a share of 0.1", x)
	}
}

// By hand: the logistic stands at 1/2 at xmid, at 0.9 at xmid + scal·ln 9, and rises by Asym/(4·scal) there; the Gompertz
// stands at 1/e at its inflection ln(b2)/−ln(b3).
func TestLandmarks(t *testing.T) {
	theta := []float64{60, 30, 5}
	if x, _ := (Logistic{}).Inverse(0.9, theta, nil); math.Abs(x-(30+5*math.Log(9))) > 1e-13 {
		t.Errorf("t90: got %v", x)
	}
	if got := (Logistic{}).MaxRate(theta); got != 3 {
		t.Errorf("largest rate: got %v, want 3", got)
	}
	g := []float64{80, 4, 0.9}
	at := Gompertz{}.Inflection(g)
	if want := math.Log(4) / -math.Log(0.9); math.Abs(at-want) > 1e-13 {
		t.Errorf("inflection: got %v, want %v", at, want)
	}
	if got := (Gompertz{}).Value(at, g); math.Abs(got-80/math.E) > 1e-12 {
		t.Errorf("value at the inflection: got %v, want %v", got, 80/math.E)
	}
}
