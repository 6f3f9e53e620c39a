package glm

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"vinetally/analytics/posdef"
)

// NegativeBinomialFit is a fit whose variance is μ + μ²/θ.
type NegativeBinomialFit struct {
	Overdispersed
	// Given is the covariance of Coef with θ taken as known, from the expected information.
	Given   [][]float64
	SETheta float64 // of θ with the means taken as known
	// Deviance is 2Σ y·ln(y/μ) − (y + θ)·ln((y + θ)/(μ + θ)).
	Deviance float64
}

// NegativeBinomial fits counts that vary more than Poisson ones do, by maximum likelihood, with ln μ = offset + Σ x·β and variance
// μ + μ²/θ (Lawless 1987, Can. J. Stat. 15:209–225). Counts that vary no more than Poisson ones are refused.
func NegativeBinomial(d Data) (*NegativeBinomialFit, error) {
	start, err := Regress(d, Log)
	if err != nil {
		return nil, err
	}
	if err := d.whole(); err != nil {
		return nil, err
	}
	o, err := d.climb(start.Coef, d.negativeBinomial)
	if err != nil {
		return nil, err
	}
	o.Mean = make([]float64, len(d.Y))
	d.predict(o.Coef, o.Mean)
	f := &NegativeBinomialFit{Overdispersed: *o}
	p, theta, ofTheta := len(o.Coef), o.Shape(), 0.0
	expected := mat.NewSymDense(p, nil)
	for i, eta := range f.Mean {
		mu, y := math.Exp(eta), d.Y[i]
		f.Mean[i] = mu
		ofTheta -= d.negativeBinomial(i, eta, theta).shapeShape
		f.Deviance += 2 * (part(y, mu) - (y+theta)*math.Log1p((y-mu)/(mu+theta)))
		for j := range p {
			for k := j; k < p; k++ {
				expected.SetSym(j, k, expected.At(j, k)+mu*theta/(mu+theta)*d.X[i][j]*d.X[i][k])
			}
		}
	}
	var ok bool
	if f.Given, ok = posdef.Invert(expected, worstCondition); !ok {
		return nil, errSeparated
	}
	if !(ofTheta > 0) {
		return nil, refuse("the counts don't tell how much they vary beyond chance")
	}
	f.SETheta = 1 / math.Sqrt(ofTheta)
	return f, nil
}

func (d Data) negativeBinomial(i int, eta, theta float64) term {
	y, mu := d.Y[i], math.Exp(eta)
	all := mu + theta
	v, r1, r2 := rising(theta, y)
	factorial, _ := math.Lgamma(y + 1)
	return term{
		value:      v - factorial + y*(eta-math.Log(all)) - theta*math.Log1p(mu/theta),
		eta:        theta * (y - mu) / all,
		shape:      r1 - math.Log1p(mu/theta) + (mu-y)/all,
		etaEta:     -mu * theta * (y + theta) / (all * all),
		etaShape:   mu * (y - mu) / (all * all),
		shapeShape: r2 + mu/(theta*all) - (mu-y)/(all*all),
	}
}
