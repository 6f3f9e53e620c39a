package simulate

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Residence is the time that fruit spend in a stage, in days at 20 °C.
type Residence interface {
	CDF(x float64) float64
	Quantile(p float64) float64
	Mean() float64
}

// shape is the family of a residence time and its coefficient of variation.
type shape struct {
	family int // gamma, log-normal or Weibull
	cv     float64
}

func drawShape(cv float64, rng *rand.Rand) shape {
	return shape{rng.IntN(3), cv * math.Exp(0.15*rng.NormFloat64())}
}

// residence has the family, the mean and the coefficient of variation wanted.
func (s shape) residence(mean float64) Residence {
	switch s.family {
	case 0:
		k := 1 / (s.cv * s.cv)
		return distuv.Gamma{Alpha: k, Beta: k / mean}
	case 1:
		v := math.Log1p(s.cv * s.cv)
		return distuv.LogNormal{Mu: math.Log(mean) - v/2, Sigma: math.Sqrt(v)}
	default:
		k := weibullShape(s.cv)
		return distuv.Weibull{K: k, Lambda: mean / math.Gamma(1+1/k)}
	}
}

// weibullShape is the shape of a Weibull distribution with a coefficient of variation, which falls as the shape grows.
func weibullShape(cv float64) float64 {
	lo, hi := 0.5, 100.0
	for range 60 {
		k := math.Sqrt(lo * hi)
		g := math.Gamma(1 + 1/k)
		if math.Gamma(1+2/k)/(g*g)-1 > cv*cv {
			lo = k
		} else {
			hi = k
		}
	}
	return math.Sqrt(lo * hi)
}

// draw is one time.
func draw(r Residence, rng *rand.Rand) float64 {
	return r.Quantile(min(max(rng.Float64(), 1e-9), 1-1e-9))
}
