package proportion

import (
	"math"

	"gonum.org/v1/gonum/stat/combin"
	"gonum.org/v1/gonum/stat/distuv"
)

// Difference compares two independent shares, p1 − p2.
type Difference struct {
	Estimate float64
	// Newcombe is the hybrid score interval (Newcombe 1998, Stat. Med. 17:873–890, method 10), NewcombeCorrected that of his method 11
	// with continuity correction. Wald, p1 − p2 ± z·√(p1q1/n1 + p2q2/n2), is for comparison only: with few trials it
	// doesn't keep its level.
	Newcombe, NewcombeCorrected, Wald Interval
	// Z and P are of the pooled test; Defined is false where nothing or everything happened in both.
	Z, P    float64
	Defined bool
	// FisherP is the two-sided exact test: the probability of all tables with these margins that are no more likely than
	// this one (Fisher 1935).
	FisherP float64
}

// Differ compares x1 of n1 with x2 of n2.
func Differ(x1, n1, x2, n2 int, level float64) (Difference, error) {
	if err := check(x1, n1, level); err != nil {
		return Difference{}, err
	}
	if err := check(x2, n2, level); err != nil {
		return Difference{}, err
	}
	z := z(level)
	a, m, b, n := float64(x1), float64(n1), float64(x2), float64(n2)
	p1, p2 := a/m, b/n
	d := Difference{Estimate: p1 - p2, FisherP: fisher(x1, n1, x2, n2)}
	hybrid := func(i, j Interval) Interval {
		return Interval{
			d.Estimate - math.Hypot(p1-i.Low, j.High-p2),
			d.Estimate + math.Hypot(i.High-p1, p2-j.Low),
		}
	}
	d.Newcombe = hybrid(wilson(a, m, z), wilson(b, n, z))
	d.NewcombeCorrected = hybrid(wilsonCorrected(a, m, z), wilsonCorrected(b, n, z))
	half := z * math.Sqrt(p1*(1-p1)/m+p2*(1-p2)/n)
	d.Wald = Interval{d.Estimate - half, d.Estimate + half}
	pooled := (a + b) / (m + n)
	if se := math.Sqrt(pooled * (1 - pooled) * (1/m + 1/n)); se > 0 {
		d.Defined = true
		d.Z = d.Estimate / se
		d.P = 2 * distuv.UnitNormal.Survival(math.Abs(d.Z))
	}
	return d, nil
}

// as far as two tables may differ and count as equally likely; R's fisher.test allows the same.
const equallyLikely = 1 + 1e-7

func fisher(x1, n1, x2, n2 int) float64 {
	sum := x1 + x2
	likelihood := func(k int) float64 {
		return math.Exp(combin.LogGeneralizedBinomial(float64(n1), float64(k)) + combin.LogGeneralizedBinomial(float64(n2), float64(sum-k)) -
			combin.LogGeneralizedBinomial(float64(n1+n2), float64(sum)))
	}
	here, p := likelihood(x1), 0.0
	for k := max(0, sum-n2); k <= min(sum, n1); k++ {
		if q := likelihood(k); q <= here*equallyLikely {
			p += q
		}
	}
	return min(p, 1)
}
