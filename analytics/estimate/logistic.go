package estimate

import "math"

// Logistic is the three-parameter logistic curve
//
//	y = Asym / (1 + exp((xmid − x)/scal))
//
// Asym is the asymptote in the unit of y, xmid the x at which the curve stands at half of it and rises fastest, scal the
// distance from there to about 73 % of the asymptote (share 1/(1+e⁻¹)); both in the unit of x. A negative scal falls.
//
// The same curve in other letters: LogisticRate with a = Asym, k = 1/scal, t0 = xmid; in R, SSlogis; with b1, b2, b3 of
// NIST Rat42, b2 = xmid/scal and b3 = 1/scal (Ratkowsky 1983, Nonlinear Regression Modeling, 61 and 88).
type Logistic struct{}

func (Logistic) Family() string  { return "logistic" }
func (Logistic) Names() []string { return []string{"Asym", "xmid", "scal"} }

// share returns 1/(1+e⁻ᶻ) and its complement, each without cancellation.
func logisticShare(z float64) (share, rest float64) {
	if z >= 0 {
		e := math.Exp(-z)
		share = 1 / (1 + e)
		return share, e * share
	}
	e := math.Exp(z)
	rest = 1 / (1 + e)
	return e * rest, rest
}

func (Logistic) Value(x float64, theta []float64) float64 {
	share, _ := logisticShare((x - theta[1]) / theta[2])
	return theta[0] * share
}

func (Logistic) Gradient(x float64, theta, grad []float64) float64 {
	z := (x - theta[1]) / theta[2]
	share, rest := logisticShare(z)
	slope := theta[0] * share * rest / theta[2]
	grad[0] = share
	grad[1] = -slope
	grad[2] = -slope * z
	return theta[0] * share
}

func (Logistic) Starts(d Data) ([][]float64, error) {
	locations, scales := sigmoidGrid(d)
	var starts [][]float64
	for _, c := range sigmoidStarts(d, locations, scales, true, logisticShape) {
		starts = append(starts, []float64{c.rise, c.location, c.scale})
	}
	return starts, nil
}

func logisticShape(u float64) float64 { return 1 / (1 + u) }

func (Logistic) Limits(d Data, theta []float64) []Limit {
	return sigmoidLimits(d, "Asym", theta[0], "xmid", theta[1], "scal", theta[2])
}

func (Logistic) Asymptote(theta []float64) float64 { return theta[0] }

// Inverse: x = xmid + scal·ln(p/(1−p)).
func (Logistic) Inverse(share float64, theta, grad []float64) (float64, bool) {
	logit := math.Log(share) - math.Log1p(-share)
	if grad != nil {
		grad[0], grad[1], grad[2] = 0, 1, logit
	}
	return theta[1] + theta[2]*logit, true
}

// MaxRate returns the steepest slope, Asym/(4·scal), reached at xmid.
func (Logistic) MaxRate(theta []float64) float64 { return theta[0] / (4 * theta[2]) }

// LogisticRate is the logistic curve in rate form
//
//	y = a / (1 + exp(−k·(x − t0)))
//
// a is the asymptote, k the relative rate per unit of x, t0 the x of half the asymptote. It is fitted as Logistic.
type LogisticRate struct{}

func (LogisticRate) Family() string  { return "logistic" }
func (LogisticRate) Names() []string { return []string{"a", "k", "t0"} }

func (LogisticRate) Value(x float64, theta []float64) float64 {
	share, _ := logisticShare(theta[1] * (x - theta[2]))
	return theta[0] * share
}

func (LogisticRate) Gradient(x float64, theta, grad []float64) float64 {
	share, rest := logisticShare(theta[1] * (x - theta[2]))
	slope := theta[0] * share * rest
	grad[0] = share
	grad[1] = slope * (x - theta[2])
	grad[2] = -slope * theta[1]
	return theta[0] * share
}

func (l LogisticRate) Starts(d Data) ([][]float64, error) { return mappedStarts(l, d) }

func (LogisticRate) Limits(d Data, theta []float64) []Limit {
	return sigmoidLimits(d, "a", theta[0], "t0", theta[2], "1/k", 1/theta[1])
}

func (LogisticRate) Asymptote(theta []float64) float64 { return theta[0] }

// Inverse: x = t0 + ln(p/(1−p))/k.
func (LogisticRate) Inverse(share float64, theta, grad []float64) (float64, bool) {
	logit := math.Log(share) - math.Log1p(-share)
	if grad != nil {
		grad[0], grad[1], grad[2] = 0, -logit/(theta[1]*theta[1]), 1
	}
	return theta[2] + logit/theta[1], true
}

func (LogisticRate) inner() Curve { return Logistic{} }

func (LogisticRate) fromInner(theta []float64) []float64 {
	return []float64{theta[0], 1 / theta[2], theta[1]}
}

// mappedStarts are the starts of the inner curve in the letters of the outer one.
func mappedStarts(c reparameterised, d Data) ([][]float64, error) {
	starts, err := c.inner().Starts(d)
	for i, s := range starts {
		starts[i] = c.fromInner(s)
	}
	return starts, err
}

// Slope is ∂y/∂x; the curve shifts along x with t0.
func (l LogisticRate) Slope(x float64, theta []float64) float64 {
	var grad [3]float64
	l.Gradient(x, theta, grad[:])
	return -grad[2]
}

// Steepest is t0.
func (LogisticRate) Steepest(theta []float64) float64 { return theta[2] }
