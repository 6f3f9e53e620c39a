package ordinal

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Link is the distribution function F of a cumulative link model.
type Link int

// The links.
const (
	Logit   Link = iota // F(z) = 1/(1 + e^−z)
	Probit              // F(z) = Φ(z)
	CLogLog             // F(z) = 1 − exp(−e^z)
	LogLog              // F(z) = exp(−e^−z)
)

// at returns F, 1 − F with the digits that F has lost where it is near 1, the density and the density's derivative; at the ends of the
// line 0 or 1, 1 or 0, 0 and 0.
func (l Link) at(z float64) (F, rest, f, slope float64) {
	switch {
	case math.IsInf(z, -1):
		return 0, 1, 0, 0
	case math.IsInf(z, 1):
		return 1, 0, 0, 0
	}
	switch l {
	case Probit:
		f = distuv.UnitNormal.Prob(z)
		return distuv.UnitNormal.CDF(z), distuv.UnitNormal.CDF(-z), f, -z * f
	case CLogLog:
		e := math.Exp(z)
		f = e * math.Exp(-e)
		return -math.Expm1(-e), math.Exp(-e), f, f * (1 - e)
	case LogLog:
		e := math.Exp(-z)
		f = e * math.Exp(-e)
		return math.Exp(-e), -math.Expm1(-e), f, f * (e - 1)
	default:
		F, rest = 1/(1+math.Exp(-z)), 1/(1+math.Exp(z))
		f = F * rest
		return F, rest, f, f * (rest - F)
	}
}

// Inverse is the z at which F is p.
func (l Link) Inverse(p float64) float64 {
	switch l {
	case Probit:
		return distuv.UnitNormal.Quantile(p)
	case CLogLog:
		return math.Log(-math.Log1p(-p))
	case LogLog:
		return -math.Log(-math.Log(p))
	default:
		return math.Log(p) - math.Log1p(-p)
	}
}
