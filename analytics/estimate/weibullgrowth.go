package estimate

import "math"

// WeibullGrowth is the Weibull curve from zero
//
//	y = a · (1 − exp(−(x/b)^c)),  x ≥ 0
//
// a is the asymptote in the unit of y, b > 0 the x at which 1 − 1/e of it is reached, c the shape. Times to an event that are Weibull
// with shape c and scale b have it for distribution function. Weibull is the same curve with a level of its own at x = 0.
type WeibullGrowth struct{}

func (WeibullGrowth) Family() string  { return "weibull" }
func (WeibullGrowth) Names() []string { return []string{"a", "b", "c"} }

func (WeibullGrowth) Value(x float64, theta []float64) float64 {
	return -theta[0] * math.Expm1(-math.Pow(x/theta[1], theta[2]))
}

func (WeibullGrowth) Gradient(x float64, theta, grad []float64) float64 {
	z := math.Pow(x/theta[1], theta[2])
	rest := math.Exp(-z)
	slope := theta[0] * rest * z
	if rest == 0 { // z may be +Inf there, and 0·Inf is not the limit, which is 0
		slope = 0
	}
	grad[0] = -math.Expm1(-z)
	grad[1] = -slope * theta[2] / theta[1]
	grad[2] = 0
	if slope != 0 { // at x = 0 the product z·ln x tends to 0
		grad[2] = slope * math.Log(x/theta[1])
	}
	return theta[0] * grad[0]
}

func (WeibullGrowth) Starts(d Data) ([][]float64, error) {
	return fromZeroStarts(d, "Weibull", func(x, location, shape float64) float64 {
		return -math.Expm1(-math.Pow(x/location, shape))
	})
}

func (WeibullGrowth) Limits(d Data, theta []float64) []Limit { return fromZeroLimits(d, theta) }

func (WeibullGrowth) Asymptote(theta []float64) float64 { return theta[0] }

// Inverse: x = b·(−ln(1−p))^(1/c).
func (WeibullGrowth) Inverse(share float64, theta, grad []float64) (float64, bool) {
	return fromZeroInverse(math.Log(-math.Log1p(-share)), theta, grad)
}

// Slope is ∂y/∂x.
func (w WeibullGrowth) Slope(x float64, theta []float64) float64 { return fromZeroSlope(w, x, theta) }

// Steepest: x = b·((c−1)/c)^(1/c), or 0 for a shape of at most 1.
func (WeibullGrowth) Steepest(theta []float64) float64 {
	if theta[2] <= 1 {
		return 0
	}
	return theta[1] * math.Pow((theta[2]-1)/theta[2], 1/theta[2])
}
