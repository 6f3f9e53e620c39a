package estimate

import "math"

// GompertzRate is the Gompertz curve in rate form
//
//	y = a · exp(−exp(−k·(x − t0)))
//
// a is the asymptote in the unit of y, k the rate per unit of x, t0 the x of the inflection, where the curve stands at
// a/e, about 37 % of the asymptote. A negative k falls. (Winsor 1932, The Gompertz curve as a growth curve, Proceedings of
// the National Academy of Sciences 18, 1–8.)
//
// This form stays well conditioned however far x is from 0; use it for calendar days. Gompertz is the same curve.
type GompertzRate struct{}

func (GompertzRate) Family() string  { return "gompertz" }
func (GompertzRate) Names() []string { return []string{"a", "k", "t0"} }

func (GompertzRate) Value(x float64, theta []float64) float64 {
	return theta[0] * math.Exp(-math.Exp(-theta[1]*(x-theta[2])))
}

func (GompertzRate) Gradient(x float64, theta, grad []float64) float64 {
	u := math.Exp(-theta[1] * (x - theta[2]))
	share := math.Exp(-u)
	slope := theta[0] * share * u
	if share == 0 { // u may be +Inf there, and 0·Inf is not the limit, which is 0
		slope = 0
	}
	grad[0] = share
	grad[1] = slope * (x - theta[2])
	grad[2] = -slope * theta[1]
	return theta[0] * share
}

func (GompertzRate) Starts(d Data) ([][]float64, error) {
	locations, scales := sigmoidGrid(d)
	var starts [][]float64
	for _, c := range sigmoidStarts(d, locations, scales, true, func(u float64) float64 { return math.Exp(-u) }) {
		starts = append(starts, []float64{c.rise, 1 / c.scale, c.location})
	}
	return starts, nil
}

func (GompertzRate) Limits(d Data, theta []float64) []Limit {
	return sigmoidLimits(d, "a", theta[0], "t0", theta[2], "1/k", 1/theta[1])
}

func (GompertzRate) Asymptote(theta []float64) float64 { return theta[0] }

// Inverse: x = t0 − ln(−ln p)/k.
func (GompertzRate) Inverse(share float64, theta, grad []float64) (float64, bool) {
	v := math.Log(-math.Log(share))
	if grad != nil {
		grad[0], grad[1], grad[2] = 0, v/(theta[1]*theta[1]), 1
	}
	return theta[2] - v/theta[1], true
}

// Gompertz is the Gompertz curve in the letters
//
//	y = Asym · exp(−b2 · b3ˣ)
//
// Asym is the asymptote, b2 sets the height at x = 0, 0 < b3 < 1 is the factor by which ln(Asym/y) shrinks per unit of x.
// With GompertzRate: b2 = exp(k·t0), b3 = exp(−k). In R, SSgompertz. It is fitted as GompertzRate; b2 grows beyond a
// number when k·t0 is above 709, and FitCurve then refuses.
type Gompertz struct{}

func (Gompertz) Family() string  { return "gompertz" }
func (Gompertz) Names() []string { return []string{"Asym", "b2", "b3"} }

func (Gompertz) Value(x float64, theta []float64) float64 {
	return theta[0] * math.Exp(-theta[1]*math.Pow(theta[2], x))
}

func (Gompertz) Gradient(x float64, theta, grad []float64) float64 {
	power := math.Pow(theta[2], x)
	share := math.Exp(-theta[1] * power)
	slope := -theta[0] * share
	if share == 0 { // power may be +Inf there, and 0·Inf is not the limit, which is 0
		power = 0
	}
	grad[0] = share
	grad[1] = slope * power
	grad[2] = slope * theta[1] * power * x / theta[2]
	return theta[0] * share
}

func (g Gompertz) Starts(d Data) ([][]float64, error) { return mappedStarts(g, d) }

func (Gompertz) Limits(d Data, theta []float64) []Limit {
	k := -math.Log(theta[2])
	return sigmoidLimits(d, "Asym", theta[0], "inflection", math.Log(theta[1])/k, "-1/ln b3", 1/k)
}

func (Gompertz) Asymptote(theta []float64) float64 { return theta[0] }

// Inverse: x = ln(−ln(p)/b2) / ln b3.
func (Gompertz) Inverse(share float64, theta, grad []float64) (float64, bool) {
	if theta[1] <= 0 || theta[2] <= 0 || theta[2] == 1 {
		return 0, false
	}
	lnB3 := math.Log(theta[2])
	x := (math.Log(-math.Log(share)) - math.Log(theta[1])) / lnB3
	if grad != nil {
		grad[0], grad[1], grad[2] = 0, -1/(theta[1]*lnB3), -x/(theta[2]*lnB3)
	}
	return x, true
}

// Inflection returns the x at which the curve rises fastest, −ln(b2)/ln(b3), where it stands at Asym/e.
func (Gompertz) Inflection(theta []float64) float64 { return -math.Log(theta[1]) / math.Log(theta[2]) }

func (Gompertz) inner() Curve { return GompertzRate{} }

func (Gompertz) fromInner(theta []float64) []float64 {
	return []float64{theta[0], math.Exp(theta[1] * theta[2]), math.Exp(-theta[1])}
}

// Slope is ∂y/∂x; the curve shifts along x with t0.
func (g GompertzRate) Slope(x float64, theta []float64) float64 {
	var grad [3]float64
	g.Gradient(x, theta, grad[:])
	return -grad[2]
}

// Steepest is t0.
func (GompertzRate) Steepest(theta []float64) float64 { return theta[2] }
