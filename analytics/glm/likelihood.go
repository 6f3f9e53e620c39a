package glm

import (
	"math"

	"gonum.org/v1/gonum/stat/combin"
	"gonum.org/v1/gonum/stat/distuv"
)

// finish works out the fitted means and how well they fit, at the linear predictor of the maximum.
func (f *Fit) finish(d Data, eta []float64) {
	f.Deviance = d.deviance(f.Link, eta)
	f.NullDeviance = d.nullDeviance()
	f.DF = -len(f.Coef)
	for i, y := range d.Y {
		mu, rest, _ := f.Link.mean(eta[i])
		f.Mean[i] = mu
		if d.Trials == nil {
			f.DF++
			f.PearsonX2 += (y - mu) * (y - mu) / mu
			f.LogLikKernel += y*eta[i] - mu
			f.LogLik += distuv.Poisson{Lambda: mu}.LogProb(y)
			continue
		}
		n := d.Trials[i]
		if n == 0 {
			continue
		}
		f.DF++
		f.PearsonX2 += (y - n*mu) * (y - n*mu) / (n * mu * rest)
		kernel := 0.0
		if y > 0 {
			kernel += y * math.Log(mu)
		}
		if n > y {
			kernel += (n - y) * math.Log(rest)
		}
		f.LogLikKernel += kernel
		f.LogLik += kernel + combin.LogGeneralizedBinomial(n, y)
	}
}

// deviance is 2Σ y·ln(y/μ) − (y − μ) of counts, and 2Σ y·ln(y/nμ) + (n − y)·ln((n − y)/(n − nμ)) of shares.
func (d Data) deviance(link Link, eta []float64) float64 {
	sum := 0.0
	for i, y := range d.Y {
		mu, rest, _ := link.mean(eta[i])
		if d.Trials != nil {
			n := d.Trials[i]
			sum += part(y, n*mu) + part(n-y, n*rest)
		} else {
			sum += part(y, mu) - (y - mu)
		}
	}
	return 2 * sum
}

// nullDeviance is the deviance of the mean rate, or of the mean share.
func (d Data) nullDeviance() float64 {
	y, n, sum := 0.0, 0.0, 0.0
	for i := range d.Y {
		y += d.Y[i]
		n += d.exposure(i)
	}
	for i := range d.Y {
		expected := d.exposure(i) * y / n
		sum += part(d.Y[i], expected)
		if d.Trials != nil {
			sum += part(d.Trials[i]-d.Y[i], d.Trials[i]-expected)
		} else {
			sum -= d.Y[i] - expected
		}
	}
	return 2 * sum
}

// part is y·ln(y/m), which is 0 at y = 0.
func part(y, m float64) float64 {
	if y == 0 {
		return 0
	}
	return y * math.Log(y/m)
}
