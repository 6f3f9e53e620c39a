package survival

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Family is the distribution of a time.
type Family int

// The families, by the distribution of W in ln T = x·β + σ·W: smallest extreme value, normal, logistic.
const (
	Weibull Family = iota
	LogNormal
	LogLogistic
)

// at returns F(w), 1 − F(w), the density f and its derivative.
func (d Family) at(w float64) (F, S, f, slope float64) {
	switch {
	case math.IsInf(w, -1):
		return 0, 1, 0, 0
	case math.IsInf(w, 1):
		return 1, 0, 0, 0
	}
	switch d {
	case Weibull:
		e := math.Exp(w)
		S = math.Exp(-e)
		f = e * S
		return -math.Expm1(-e), S, f, f * (1 - e)
	case LogNormal:
		f = distuv.UnitNormal.Prob(w)
		return distuv.UnitNormal.CDF(w), distuv.UnitNormal.CDF(-w), f, -w * f
	default:
		F, S = 1/(1+math.Exp(-w)), 1/(1+math.Exp(w))
		f = F * S
		return F, S, f, f * (S - F)
	}
}

// score is f'/f and its derivative.
func (d Family) score(w float64) (psi, slope float64) {
	switch d {
	case Weibull:
		return 1 - math.Exp(w), -math.Exp(w)
	case LogNormal:
		return -w, -1
	default:
		F, S, f, _ := d.at(w)
		return S - F, -2 * f
	}
}

// Quantile is the w at which F is p.
func (d Family) Quantile(p float64) float64 {
	switch d {
	case Weibull:
		return math.Log(-math.Log1p(-p))
	case LogNormal:
		return distuv.UnitNormal.Quantile(p)
	default:
		return math.Log(p) - math.Log1p(-p)
	}
}
