package estimate

import (
	"cmp"
	"math"
	"slices"
)

// Richards is the generalised logistic curve
//
//	y = a · (1 + v·exp(−k·(x − t0)))^(−1/v),  v > 0
//
// a is the asymptote in the unit of y, k the rate per unit of x, t0 the x of the inflection, where the curve stands at
// a·(1+v)^(−1/v); v shapes it: 1 is the logistic, and v towards 0 the Gompertz curve. (Richards 1959, A flexible growth function for
// empirical use, Journal of Experimental Botany 10, 290–301.)
type Richards struct{}

func (Richards) Family() string  { return "richards" }
func (Richards) Names() []string { return []string{"a", "k", "t0", "v"} }

// share returns y/a, u/w and ln w, with u = exp(−k(x−t0)) and w = 1 + v·u; NaN unless v is above 0.
func (Richards) share(x float64, theta []float64) (share, part, logW float64) {
	k, t0, v := theta[1], theta[2], theta[3]
	if !(v > 0) {
		return math.NaN(), math.NaN(), math.NaN()
	}
	logU := -k * (x - t0)
	if logU > 500 { // ln(1+v·u) = ln v + ln u but for rounding, and u would be too large for a number
		logW = math.Log(v) + logU
	} else {
		logW = math.Log1p(v * math.Exp(logU))
	}
	return math.Exp(-logW / v), 1 / (math.Exp(-logU) + v), logW
}

func (r Richards) Value(x float64, theta []float64) float64 {
	share, _, _ := r.share(x, theta)
	return theta[0] * share
}

func (r Richards) Gradient(x float64, theta, grad []float64) float64 {
	share, part, logW := r.share(x, theta)
	a, k, t0, v := theta[0], theta[1], theta[2], theta[3]
	grad[0] = share
	grad[1] = a * share * part * (x - t0)
	grad[2] = -a * share * part * k
	grad[3] = a * share * (logW/(v*v) - part/v)
	return a * share
}

// Starts searches over location and scale for several shapes.
func (r Richards) Starts(d Data) ([][]float64, error) {
	locations, scales := sigmoidGrid(d)
	type start struct {
		theta []float64
		rss   float64
	}
	var all []start
	for _, v := range []float64{0.1, 0.4, 1, 2.5, 6} {
		cells := sigmoidStarts(d, locations, scales, true, func(u float64) float64 { return math.Pow(1+v*u, -1/v) })
		for _, c := range cells[:min(len(cells), 2)] {
			all = append(all, start{[]float64{c.rise, 1 / c.scale, c.location, v}, c.rss})
		}
	}
	slices.SortStableFunc(all, func(a, b start) int { return cmp.Compare(a.rss, b.rss) })
	starts := make([][]float64, len(all))
	for i, s := range all {
		starts[i] = s.theta
	}
	return starts, nil
}

func (Richards) Limits(d Data, theta []float64) []Limit {
	limits := sigmoidLimits(d, "a", theta[0], "t0", theta[2], "1/k", 1/theta[1])
	return append(limits, Limit{Name: "v", Value: theta[3], Lo: 1e-3, Hi: 1e3})
}

func (Richards) Asymptote(theta []float64) float64 { return theta[0] }

// Inverse: x = t0 − ln(u)/k with u = (p^(−v) − 1)/v.
func (Richards) Inverse(share float64, theta, grad []float64) (float64, bool) {
	k, t0, v := theta[1], theta[2], theta[3]
	if !(v > 0) || k == 0 {
		return 0, false
	}
	log := math.Log(share)
	over := math.Expm1(-v * log) // p^(−v) − 1
	logU := math.Log(over / v)
	if grad != nil {
		grad[0], grad[1], grad[2] = 0, logU/(k*k), 1
		grad[3] = -(-log*(over+1)/over - 1/v) / k
	}
	return t0 - logU/k, true
}

// Slope is ∂y/∂x.
func (r Richards) Slope(x float64, theta []float64) float64 {
	share, part, _ := r.share(x, theta)
	return theta[0] * share * part * theta[1]
}

// Steepest is the inflection.
func (Richards) Steepest(theta []float64) float64 { return theta[2] }
