package sampling

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// mostFruit bounds the search for whole numbers.
const mostFruit = 1 << 40

// smallest is the least whole n, at least what was taken, at which a condition holds that goes on holding. It looks ever further from
// there, since far out both sides of the conditions are equal but for rounding.
func (r Removals) smallest(holds func(n float64) bool) float64 {
	from, reach := int(r.taken), 1
	beyond := func(i int) bool { return holds(float64(from + i)) }
	for reach < mostFruit && !beyond(reach) {
		reach *= 2
	}
	return float64(from + sort.Search(reach, beyond))
}

// Zippin is the estimate of Zippin (1956), corrected for bias by Carle and Strub (1978, A new method for estimating population size
// from removal data, Biometrics 34, 621–630, equation 3): the smallest n for which
//
//	(n + ½)·(kn − X − T)ᵏ < (n − T + ½)·(kn − X)ᵏ.
func (r Removals) Zippin() (Depleted, error) {
	if !r.declines() {
		return Depleted{}, r.errDecline()
	}
	n := r.smallest(func(n float64) bool {
		return math.Log1p(r.taken/(n-r.taken+0.5))+r.k*math.Log1p(-r.chance(n)) < 0
	})
	return r.at(n, r.chance(n)), nil
}

// CarleStrub is the weighted likelihood estimate of Carle and Strub (1978) with a beta(1, 1) prior of p: the smallest n for which
//
//	(n + 1)/(n − T + 1) · Π (kn − X − T + 1 + k − i)/(kn − X + 2 + k − i) < 1.
//
// It is finite whatever the passes found, and the one to use where they decline little. otherSE is the standard error that the authors
// give; NaN where that is not known.
func (r Removals) CarleStrub() (d Depleted, otherSE float64) {
	n := r.smallest(func(n float64) bool {
		sum := math.Log1p(r.taken / (n - r.taken + 1))
		for i := 1.0; i <= r.k; i++ {
			sum += math.Log1p(-(r.taken + 1) / (r.k*n - r.x + 2 + r.k - i))
		}
		return sum < 0
	})
	d = r.at(n, r.chance(n))
	left := n * (n - r.taken)
	return d, math.Sqrt(left * r.taken / (r.taken*r.taken - left*(r.k*d.P)*(r.k*d.P)/(1-d.P)))
}

// logLik is the logarithm of the multinomial likelihood of n at the p that is likeliest there, but for a constant.
func (r Removals) logLik(n float64) float64 {
	all, _ := math.Lgamma(n + 1)
	left, _ := math.Lgamma(n - r.taken + 1)
	p := r.chance(n)
	rest := r.k*n - r.x - r.taken
	sum := all - left + r.taken*math.Log(p)
	if rest > 0 {
		sum += rest * math.Log1p(-p)
	}
	return sum
}

// slope is the derivative of logLik.
func (r Removals) slope(n float64) float64 {
	return mathext.Digamma(n+1) - mathext.Digamma(n-r.taken+1) + r.k*math.Log1p(-r.chance(n))
}

// Likeliest is the estimate of largest likelihood.
type Likeliest struct {
	Depleted          // over all real n
	Whole    Depleted // over whole n
	passes   Removals
}

// MostLikely maximises the multinomial likelihood of n and p.
func (r Removals) MostLikely() (Likeliest, error) {
	if !r.declines() {
		return Likeliest{}, r.errDecline()
	}
	n := r.root(r.taken, r.slope)
	whole := math.Floor(n)
	if r.logLik(whole+1) > r.logLik(whole) {
		whole++
	}
	return Likeliest{r.at(n, r.chance(n)), r.at(whole, r.chance(whole)), r}, nil
}

// root is the n above from at which f, positive there, falls to 0.
func (r Removals) root(from float64, f func(n float64) float64) float64 {
	if f(from) <= 0 {
		return from
	}
	high := from + 1
	for f(high) > 0 && high < mostFruit {
		high += high - r.taken + 1
	}
	for low := from; ; {
		mid := low + (high-low)/2
		if mid <= low || mid >= high {
			return mid
		}
		if f(mid) > 0 {
			low = mid
		} else {
			high = mid
		}
	}
}

// Interval holds every n whose profile likelihood is within the χ² of one degree of freedom of the largest. bounded is false where it
// has no upper end. The lower end is never below what was taken.
func (l Likeliest) Interval(level float64) (low, high float64, bounded bool) {
	allowed := distuv.ChiSquared{K: 1}.Quantile(level) / 2
	r := l.passes
	most := r.logLik(l.N)
	spare := func(n float64) float64 { return r.logLik(n) - most + allowed }
	low = r.taken
	if spare(low) < 0 {
		low = r.root(low, func(n float64) float64 { return -spare(min(n, l.N)) })
	}
	// As n grows, n·p stays T/k·… and the counts become Poisson with equal means: the limit of the likelihood.
	limit := r.taken*(math.Log(r.taken/r.k)-1) - most + allowed
	if limit >= 0 {
		return low, math.Inf(1), false
	}
	return low, r.root(l.N, spare), true
}
