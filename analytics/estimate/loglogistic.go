package estimate

import "math"

// LogLogistic is the log-logistic curve
//
//	y = a / (1 + (x/b)^(−c)),  x ≥ 0
//
// a is the asymptote in the unit of y, b > 0 the x of half of it, c the shape: the logistic curve on the logarithm of x.
type LogLogistic struct{}

func (LogLogistic) Family() string  { return "log-logistic" }
func (LogLogistic) Names() []string { return []string{"a", "b", "c"} }

func (LogLogistic) Value(x float64, theta []float64) float64 {
	share, _ := logisticShare(theta[2] * math.Log(x/theta[1]))
	return theta[0] * share
}

func (LogLogistic) Gradient(x float64, theta, grad []float64) float64 {
	log := math.Log(x / theta[1])
	share, rest := logisticShare(theta[2] * log)
	slope := theta[0] * share * rest
	grad[0] = share
	grad[1] = -slope * theta[2] / theta[1]
	grad[2] = 0
	if slope != 0 { // at x = 0 the product tends to 0
		grad[2] = slope * log
	}
	return theta[0] * share
}

func (LogLogistic) Starts(d Data) ([][]float64, error) {
	return fromZeroStarts(d, "log-logistic", func(x, location, shape float64) float64 {
		share, _ := logisticShare(shape * math.Log(x/location))
		return share
	})
}

func (LogLogistic) Limits(d Data, theta []float64) []Limit { return fromZeroLimits(d, theta) }

func (LogLogistic) Asymptote(theta []float64) float64 { return theta[0] }

// Inverse: x = b·(p/(1−p))^(1/c).
func (LogLogistic) Inverse(share float64, theta, grad []float64) (float64, bool) {
	return fromZeroInverse(math.Log(share)-math.Log1p(-share), theta, grad)
}

// Slope is ∂y/∂x.
func (l LogLogistic) Slope(x float64, theta []float64) float64 { return fromZeroSlope(l, x, theta) }

// Steepest: x = b·((c−1)/(c+1))^(1/c), or 0 for a shape of at most 1.
func (LogLogistic) Steepest(theta []float64) float64 {
	if theta[2] <= 1 {
		return 0
	}
	return theta[1] * math.Pow((theta[2]-1)/(theta[2]+1), 1/theta[2])
}
