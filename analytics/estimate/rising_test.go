package estimate

import (
	"math"
	"testing"
)

// TestSlopes: the slope is that of differences, and largest where the curve says that it is steepest.
func TestSlopes(t *testing.T) {
	for _, c := range curveCases {
		r, ok := c.curve.(Rising)
		if !ok {
			continue
		}
		for _, theta := range c.thetas {
			for _, x := range []float64{2, 10, 25, 60, 88, 95} {
				const h = 1e-5
				want := (r.Value(x+h, theta) - r.Value(x-h, theta)) / (2 * h)
				if got := r.Slope(x, theta); math.Abs(got-want) > 1e-7*math.Max(1, math.Abs(theta[0])) {
					t.Errorf("%s %v: slope at %v is %v, by differences %v", r.Family(), theta, x, got, want)
				}
			}
			top := r.Steepest(theta)
			at := math.Abs(r.Slope(top, theta))
			for _, x := range []float64{top - 0.3, top + 0.3} {
				if math.Abs(r.Slope(x, theta)) > at {
					t.Errorf("%s %v: steeper at %v than at %v", r.Family(), theta, x, top)
				}
			}
		}
	}
}

// TestRichardsHoldsTheOthers: with v = 1 it is the logistic, and near 0 the Gompertz curve.
func TestRichardsHoldsTheOthers(t *testing.T) {
	for x := 0.0; x < 80; x += 5 {
		if got, want := (Richards{}).Value(x, []float64{60, 0.2, 30, 1}), (LogisticRate{}).Value(x, []float64{60, 0.2, 30}); math.Abs(got-want) > 1e-12 {
			t.Errorf("at %v with v = 1: %v, logistic %v", x, got, want)
		}
		if got, want := (Richards{}).Value(x, []float64{60, 0.2, 30, 1e-7}), (GompertzRate{}).Value(x, []float64{60, 0.2, 30}); math.Abs(got-want) > 1e-5 {
			t.Errorf("at %v with v near 0: %v, Gompertz %v", x, got, want)
		}
	}
}

// TestFamiliesComeBack: from points on a curve, with a little of a wave added, its own family finds it again by its own starts.
func TestFamiliesComeBack(t *testing.T) {
	for _, c := range []struct {
		curve Rising
		theta []float64
	}{
		{LogisticRate{}, []float64{60, 0.2, 90}}, {GompertzRate{}, []float64{60, 0.12, 88}}, {WeibullGrowth{}, []float64{60, 92, 11}},
		{WeibullGrowth{}, []float64{60, 20, 1.6}}, {LogLogistic{}, []float64{60, 90, 18}}, {LogLogistic{}, []float64{60, 25, 2.5}},
		{Richards{}, []float64{60, 0.25, 90, 0.4}}, {Richards{}, []float64{60, 0.25, 90, 3}},
	} {
		var d Data
		for i := range 45 {
			x := 1 + 3*float64(i)
			d.X, d.Y = append(d.X, x), append(d.Y, c.curve.Value(x, c.theta)+0.02*math.Sin(float64(7*i)))
		}
		f, err := FitCurve(c.curve, d)
		if err != nil {
			t.Errorf("%s %v: %v", c.curve.Family(), c.theta, err)
			continue
		}
		for j, want := range c.theta {
			if math.Abs(f.Theta[j]-want) > 0.02*want {
				t.Errorf("%s %v: %s is %v", c.curve.Family(), c.theta, f.Names[j], f.Theta[j])
			}
		}
	}
}
