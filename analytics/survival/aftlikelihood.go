package survival

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// likelihood returns the log-likelihood, its gradient and minus its second derivatives in β0, β and ln σ.
func likelihood(data []Interval, family Family, theta []float64) (sum float64, score []float64, information *mat.SymDense) {
	n := len(theta)
	sigma := math.Exp(theta[n-1])
	score, information = make([]float64, n), mat.NewSymDense(n, nil)
	for _, o := range data {
		if o.Weight == 0 {
			continue
		}
		x := append([]float64{1}, o.X...)
		mu := 0.0
		for k, v := range x {
			mu += v * theta[k]
		}
		if o.Left == o.Right {
			w := (math.Log(o.Left) - mu) / sigma
			psi, slope := family.score(w)
			_, _, f, _ := family.at(w)
			sum += o.Weight * (math.Log(f) - theta[n-1] - math.Log(o.Left))
			d := gradient(x, w, sigma)
			for a := range n {
				score[a] += o.Weight * psi * d[a]
				for b := a; b < n; b++ {
					information.SetSym(a, b, information.At(a, b)-o.Weight*(slope*d[a]*d[b]+psi*second(x, w, sigma, a, b)))
				}
			}
			score[n-1] -= o.Weight
			continue
		}
		lower, upper := math.Inf(-1), math.Inf(1)
		if o.Left > 0 {
			lower = (math.Log(o.Left) - mu) / sigma
		}
		if !math.IsInf(o.Right, 1) {
			upper = (math.Log(o.Right) - mu) / sigma
		}
		F1, S1, f1, g1 := family.at(lower)
		F2, S2, f2, g2 := family.at(upper)
		p := F2 - F1
		if F1 > 0.5 {
			p = S1 - S2
		}
		if !(p > 0) {
			return math.Inf(-1), score, information
		}
		sum += o.Weight * math.Log(p)
		d1, d2 := gradient(x, lower, sigma), gradient(x, upper, sigma)
		for a := range n {
			ga := (f2*d2[a] - f1*d1[a]) / p
			score[a] += o.Weight * ga
			for b := a; b < n; b++ {
				gb := (f2*d2[b] - f1*d1[b]) / p
				curve := g2*d2[a]*d2[b] + f2*second(x, upper, sigma, a, b) - g1*d1[a]*d1[b] - f1*second(x, lower, sigma, a, b)
				information.SetSym(a, b, information.At(a, b)-o.Weight*(curve/p-ga*gb))
			}
		}
	}
	return sum, score, information
}

// gradient is dw in β0, β and ln σ; 0 at the ends of the line, where the density is 0 faster than w grows.
func gradient(x []float64, w, sigma float64) []float64 {
	d := make([]float64, len(x)+1)
	if math.IsInf(w, 0) {
		return d
	}
	for k, v := range x {
		d[k] = -v / sigma
	}
	d[len(x)] = -w
	return d
}

// second is d²w.
func second(x []float64, w, sigma float64, a, b int) float64 {
	n := len(x)
	switch {
	case math.IsInf(w, 0) || a < n && b < n:
		return 0
	case a == n && b == n:
		return w
	default:
		return x[min(a, b)] / sigma
	}
}
