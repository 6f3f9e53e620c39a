package glm

import "gonum.org/v1/gonum/stat/combin"

// BetaBinomial fits shares that vary more than binomial ones do, by maximum likelihood (Williams 1975, Biometrics 31:949–952): the share
// behind an observation is itself drawn from a beta distribution with parameters μφ and (1 − μ)φ, logit μ = offset + Σ x·β.
// Shares that vary no more than binomial ones are refused.
func BetaBinomial(d Data) (*Overdispersed, error) {
	start, err := Regress(d, Logit)
	if err != nil {
		return nil, err
	}
	if err := d.whole(); err != nil {
		return nil, err
	}
	o, err := d.climb(start.Coef, d.betaBinomial)
	if err != nil {
		return nil, err
	}
	o.DF = start.DF
	o.Mean = make([]float64, len(d.Y))
	d.predict(o.Coef, o.Mean)
	for i, eta := range o.Mean {
		o.Mean[i], _, _ = Logit.mean(eta)
	}
	return o, nil
}

// IntraclassCorrelation is 1/(1 + φ), the correlation of two trials of one observation of a beta-binomial fit.
func (o *Overdispersed) IntraclassCorrelation() float64 { return 1 / (1 + o.Shape()) }

func (d Data) betaBinomial(i int, eta, phi float64) term {
	y, n := d.Y[i], d.Trials[i]
	mu, rest, slope := Logit.mean(eta)
	va, a1, a2 := rising(mu*phi, y)
	vb, b1, b2 := rising(rest*phi, n-y)
	vn, n1, n2 := rising(phi, n)
	return term{
		value:      combin.LogGeneralizedBinomial(n, y) + va + vb - vn,
		eta:        phi * slope * (a1 - b1),
		shape:      mu*a1 + rest*b1 - n1,
		etaEta:     phi*slope*(rest-mu)*(a1-b1) + phi*phi*slope*slope*(a2+b2),
		etaShape:   slope*(a1-b1) + phi*slope*(mu*a2-rest*b2),
		shapeShape: mu*mu*a2 + rest*rest*b2 - n2,
	}
}
