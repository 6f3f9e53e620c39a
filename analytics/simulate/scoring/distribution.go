package scoring

import "math"

// Distribution is the probability of 0, 1, 2, … fruit.
type Distribution []float64

// Quantile is the smallest number whose cumulative probability reaches p.
func (d Distribution) Quantile(p float64) int {
	sum := 0.0
	for n, q := range d {
		if sum += q; sum >= p-1e-12 {
			return n
		}
	}
	return len(d) - 1
}

// Below is the probability of fewer than n fruit.
func (d Distribution) Below(n int) float64 {
	sum := 0.0
	for _, q := range d[:min(n, len(d))] {
		sum += q
	}
	return sum
}

// At is the probability of n fruit.
func (d Distribution) At(n int) float64 {
	if n >= len(d) {
		return 0
	}
	return d[n]
}

// Poisson is the Poisson distribution with a mean.
func Poisson(mean float64) Distribution {
	n := int(mean+10*math.Sqrt(mean)) + 12
	d := make(Distribution, n)
	q := math.Exp(-mean)
	for i := range d {
		d[i] = q
		q *= mean / float64(i+1)
	}
	return d
}

// Sum is the distribution of how many of independent events happen (Poisson-binomial).
func Sum(chances []float64) Distribution {
	d := make(Distribution, 1, len(chances)+1)
	d[0] = 1
	for _, p := range chances {
		d = append(d, 0)
		for n := len(d) - 1; n > 0; n-- {
			d[n] = d[n]*(1-p) + d[n-1]*p
		}
		d[0] *= 1 - p
	}
	return d
}

// quantiles that are scored.
var quantiles = func() []float64 {
	var all []float64
	for i := 1; i <= 19; i++ {
		all = append(all, float64(i)/20)
	}
	return all
}()

// Pinball is the mean pinball loss of a distribution's quantiles 0.05, 0.10 … 0.95 when n fruit ripened.
func Pinball(d Distribution, n int) float64 {
	sum := 0.0
	for _, p := range quantiles {
		q := d.Quantile(p)
		if n >= q {
			sum += p * float64(n-q)
		} else {
			sum += (1 - p) * float64(q-n)
		}
	}
	return sum / float64(len(quantiles))
}

// Mean is the expected number.
func (d Distribution) Mean() float64 {
	sum := 0.0
	for n, q := range d {
		sum += float64(n) * q
	}
	return sum
}
