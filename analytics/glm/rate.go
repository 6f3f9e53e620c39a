package glm

import (
	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/proportion"
)

// Rate is a count over an exposure with its exact interval (Garwood 1936, Biometrika 28:437–442): quantiles of χ² on 2y and 2y + 2
// degrees of freedom.
type Rate struct{ Estimate, Low, High float64 }

// RateOf is the rate of a count.
func RateOf(count int, exposure, level float64) (Rate, error) {
	if count < 0 || !(exposure > 0) {
		return Rate{}, refuse("a rate wants a count of 0 or more and an exposure above 0")
	}
	if !(level > 0 && level < 1) {
		return Rate{}, refuse("a level of %v isn't between 0 and 1", level)
	}
	y, tail := float64(count), (1-level)/2
	r := Rate{Estimate: y / exposure, High: gamma(y+1, 1-tail) / exposure}
	if count > 0 {
		r.Low = gamma(y, tail) / exposure
	}
	return r, nil
}

// gamma is a quantile of the gamma distribution with scale 1, polished.
func gamma(shape, p float64) float64 {
	d := distuv.Gamma{Alpha: shape, Beta: 1}
	x := d.Quantile(p)
	for range 2 {
		if q := d.Prob(x); q > 0 {
			x -= (d.CDF(x) - p) / q
		}
	}
	return x
}

// RateRatio compares two counts: given their sum, the first is binomial (Przyborowski and Wilenski 1940, Biometrika 31:313–323), so its interval
// is that of Clopper and Pearson and P the exact two-sided test of a ratio of 1. Where the second count is 0 the ratio has no end: Bounded is false, and
// Estimate and High are 0 and mean nothing.
type RateRatio struct {
	Estimate, Low, High, P float64
	Bounded                bool
}

// Compare is the ratio of the rate of the first count to that of the second.
func Compare(count1 int, exposure1 float64, count2 int, exposure2, level float64) (RateRatio, error) {
	if count1 < 0 || count2 < 0 || !(exposure1 > 0) || !(exposure2 > 0) {
		return RateRatio{}, refuse("a ratio of rates wants counts of 0 or more and exposures above 0")
	}
	n := count1 + count2
	if n == 0 {
		return RateRatio{}, refuse("nothing was counted: no ratio")
	}
	share, err := proportion.ClopperPearson(count1, n, level)
	if err != nil {
		return RateRatio{}, refuse("%v", err)
	}
	odds := func(share float64) float64 { return share / (1 - share) * exposure2 / exposure1 }
	r := RateRatio{Low: odds(share.Low)}
	if count2 > 0 {
		r.Bounded = true
		r.Estimate = float64(count1) / exposure1 / (float64(count2) / exposure2)
		r.High = odds(share.High)
	}
	b := distuv.Binomial{N: float64(n), P: exposure1 / (exposure1 + exposure2)}
	here := b.Prob(float64(count1))
	for k := range n + 1 {
		if q := b.Prob(float64(k)); q <= here*(1+1e-7) {
			r.P += q
		}
	}
	r.P = min(r.P, 1)
	return r, nil
}
