package glm

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Link ties the mean to the linear predictor η = offset + Σ x·β.
type Link int

// The links. Log goes with the Poisson family, the others with the binomial one.
const (
	Logit   Link = iota // μ = 1/(1 + e^−η)
	Probit              // μ = Φ(η)
	CLogLog             // μ = 1 − exp(−e^η)
	Log                 // μ = e^η
)

// mean returns μ, 1 − μ (without cancellation; of shares only) and dμ/dη.
func (l Link) mean(eta float64) (mu, rest, slope float64) {
	switch l {
	case Logit:
		if eta > 0 {
			e := math.Exp(-eta)
			return 1 / (1 + e), e / (1 + e), e / ((1 + e) * (1 + e))
		}
		e := math.Exp(eta)
		return e / (1 + e), 1 / (1 + e), e / ((1 + e) * (1 + e))
	case Probit:
		return distuv.UnitNormal.CDF(eta), distuv.UnitNormal.CDF(-eta), distuv.UnitNormal.Prob(eta)
	case CLogLog:
		e := math.Exp(eta)
		return -math.Expm1(-e), math.Exp(-e), e * math.Exp(-e)
	default:
		mu = math.Exp(eta)
		return mu, 0, mu
	}
}

// Inverse is the η at which a share is reached; of Log, ln of the mean.
func (l Link) Inverse(mu float64) float64 {
	switch l {
	case Logit:
		return math.Log(mu) - math.Log1p(-mu)
	case Probit:
		return distuv.UnitNormal.Quantile(mu)
	case CLogLog:
		return math.Log(-math.Log1p(-mu))
	default:
		return math.Log(mu)
	}
}
