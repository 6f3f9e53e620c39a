package estimate

import (
	"fmt"
	"math"
)

// Criteria measure a fit against others of the same points. Every count of parameters includes the residual variance.
type Criteria struct {
	// LogLik is the largest Gaussian log-likelihood, with the variance estimated by RSS/n:
	//	−n/2·(ln 2π + 1 + ln(RSS/n)) + ½·Σ ln w
	// A sum of squares that rounding alone could have made counts as large as rounding makes it, so that points that lie
	// exactly on the curve still have a finite one.
	LogLik float64
	// AIC is −2·LogLik + 2k, BIC is −2·LogLik + k·ln n, k the parameters of the model plus 1 for the variance.
	AIC, BIC float64
	// AICc is AIC + 2k(k+1)/(n−k−1) (Hurvich and Tsai 1989, Biometrika 76, 297–307); nil if n ≤ k+1, where it is not
	// defined.
	AICc *float64
}

// criteria evaluates the criteria of a residual sum of squares reached with the given number of parameters.
func (pr *problem) criteria(rss float64, parameters int) Criteria {
	n, k := float64(pr.n), float64(parameters+1)
	rss = math.Max(rss, pr.noise*pr.noise)
	c := Criteria{LogLik: -n / 2 * (math.Log(2*math.Pi) + 1 + math.Log(rss/n))}
	if pr.data.Weight != nil {
		for _, root := range pr.root {
			c.LogLik += math.Log(root)
		}
	}
	c.AIC = -2*c.LogLik + 2*k
	c.BIC = -2*c.LogLik + k*math.Log(n)
	if n > k+1 && allFinite(c.AIC) {
		c.AICc = new(c.AIC + 2*k*(k+1)/(n-k-1))
	}
	return c
}

// Scored is a candidate with its AICc.
type Scored struct {
	Name string
	AICc float64
}

// Ranked is a candidate among others: Delta is its AICc less the smallest, Weight its Akaike weight
// exp(−Delta/2)/Σ exp(−Delta/2) (Burnham and Anderson 2002, Model Selection and Multimodel Inference, section 2.9).
type Ranked struct {
	Scored
	Delta, Weight float64
}

// Rank weighs candidates fitted to the same points, which the caller answers for. The order is kept; best is the index of
// the smallest AICc, the first of them if several are equal, so the order of the candidates is part of the answer. It
// returns Invalid for no candidates and for an AICc that is not finite.
func Rank(candidates []Scored) (ranked []Ranked, best int, err error) {
	if len(candidates) == 0 {
		return nil, 0, &Invalid{What: "candidates", Row: -1, Detail: "are none; give at least one"}
	}
	for i, c := range candidates {
		if !allFinite(c.AICc) {
			return nil, 0, &Invalid{What: "AICc", Row: i, Detail: fmt.Sprintf("(%s) is %v; it must be a finite number", c.Name, c.AICc)}
		}
		if c.AICc < candidates[best].AICc {
			best = i
		}
	}
	var sum float64
	for _, c := range candidates {
		r := Ranked{Scored: c, Delta: finite(c.AICc - candidates[best].AICc)}
		r.Weight = math.Exp(-r.Delta / 2)
		sum += r.Weight
		ranked = append(ranked, r)
	}
	for i := range ranked {
		ranked[i].Weight /= sum
	}
	return ranked, best, nil
}
