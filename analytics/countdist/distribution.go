// Package countdist holds probability distributions of a number of fruit: the exact ones of independent fruit, ones with a given
// mean and variance, their mixtures and their sums.
//
// A Distribution is kept on the window where its probability isn't negligible, so that 100,000 fruit ± 300 cost a few thousand
// numbers. Probabilities come by recurrence from the likeliest number outwards and are scaled to one; no logarithm of a gamma function is taken.
//
// Arguments are numbers that a model computed, not what a user typed: one that is no number at all (NaN, infinite) or far outside
// its range is a fault of the program and panics, as in gonum's distuv; one outside by rounding is taken as the edge.
package countdist

import "math"

// Distribution of a number of fruit: P[i] is the probability of Offset + i. P sums to 1, and what lies outside it is negligible, about 1e-17 at each end
// for every distribution that went into it. A Distribution isn't changed once made; the zero value is none, of which nothing is likely.
type Distribution struct {
	Offset int
	P      []float64
}

// negligible is the probability that a window may leave out at each of its ends.
const negligible = 1e-17

// Exactly is n for certain.
func Exactly(n int) Distribution { return Distribution{Offset: n, P: []float64{1}} }

// Probability is that of exactly n.
func (d Distribution) Probability(n int) float64 {
	if i := n - d.Offset; i >= 0 && i < len(d.P) {
		return d.P[i]
	}
	return 0
}

// AtMost is the probability of n or fewer, summed from the low end so that a small one is as accurate as a large one.
func (d Distribution) AtMost(n int) float64 {
	sum := 0.0
	for _, p := range d.P[:clamp(n-d.Offset+1, len(d.P))] {
		sum += p
	}
	return min(sum, 1)
}

// AtLeast is the probability of n or more, summed from the high end.
func (d Distribution) AtLeast(n int) float64 {
	sum := 0.0
	for i := len(d.P) - 1; i >= clamp(n-d.Offset, len(d.P)); i-- {
		sum += d.P[i]
	}
	return min(sum, 1)
}

func clamp(i, n int) int { return max(0, min(i, n)) }

// rounding is how far a sum of probabilities may fall short of the level that it would reach without rounding.
const rounding = 1e-13

// Quantile is the smallest number whose AtMost reaches p; for p of 0 or below the smallest that is likely at all, for 1 and above
// the largest. A sum that misses p by rounding alone counts as reaching it.
func (d Distribution) Quantile(p float64) int {
	sum, last := 0.0, d.Offset
	for i, one := range d.P {
		if one == 0 {
			continue
		}
		last = d.Offset + i
		if sum += one; p < 1 && sum >= p*(1-rounding) {
			break
		}
	}
	return last
}

// Mean is the expected number.
func (d Distribution) Mean() float64 {
	mean, _ := d.moments()
	return mean
}

// Variance is the expected square of the distance from the mean.
func (d Distribution) Variance() float64 {
	_, variance := d.moments()
	return variance
}

// moments takes squares of distances from the mean, since squares of the numbers themselves would swallow a small variance.
func (d Distribution) moments() (mean, variance float64) {
	for i, p := range d.P {
		mean += p * float64(i)
	}
	for i, p := range d.P {
		off := float64(i) - mean
		variance += p * off * off
	}
	return float64(d.Offset) + mean, variance
}

// finite panics on what is no number; name is of the argument.
func finite(name string, x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		panic("countdist: " + name + " is not a number")
	}
}
