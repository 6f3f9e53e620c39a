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

// Family is a family of residence times.
type Family int

// The families.
const (
	Gamma Family = iota
	LogNormal
	Weibull
	families
)

// Shape is how residence times spread: their family and their coefficient of variation.
type Shape struct {
	Family Family
	CV     float64
}

func drawShape(cv float64, rng *rand.Rand) Shape {
	return Shape{Family(rng.IntN(int(families))), cv * math.Exp(0.15*rng.NormFloat64())}
}

// Residence has the shape and a mean, in days at 20 °C.
func (s Shape) Residence(mean float64) Residence {
	switch s.Family {
	case Gamma:
		k := 1 / (s.CV * s.CV)
		return distuv.Gamma{Alpha: k, Beta: k / mean}
	case LogNormal:
		v := math.Log1p(s.CV * s.CV)
		return distuv.LogNormal{Mu: math.Log(mean) - v/2, Sigma: math.Sqrt(v)}
	default:
		k := weibullShape(s.CV)
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
