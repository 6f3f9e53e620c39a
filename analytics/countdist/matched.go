package countdist

import "math"

// Matched is a distribution of whole numbers with the mean and the variance given, both within rounding:
//
//   - variance above the mean: negative binomial of size mean²/(variance − mean);
//   - equal: Poisson;
//   - below: binomial of size n = mean²/(mean − variance). Where n isn't whole, the two binomials of the same mean whose sizes are
//     next to n are mixed, with the weight w on the smaller that makes w/⌊n⌋ + (1−w)/(⌊n⌋+1) = 1/n: their variances are
//     mean − mean²/size, so that the mixture's is the one asked for;
//   - still smaller, where ⌊n⌋ is below the mean: the binomial of size ⌈mean⌉ mixed with the two whole numbers beside the mean;
//   - those two alone, with probabilities that give the mean, where the variance is at or below theirs, f·(1−f) with f the fractional
//     part of the mean: whole numbers with that mean can't vary less.
//
// A mean of 0 or below is no fruit for certain.
func Matched(mean, variance float64) Distribution {
	finite("the mean", mean)
	finite("the variance", variance)
	if mean > most {
		panic("countdist: the mean is out of range")
	}
	if mean <= 0 {
		return Exactly(0)
	}
	if variance >= mean {
		start := max(0, mean-(variance-mean)/mean)
		return recurrence{c: mean * (mean / variance), q: (variance - mean) / variance}.around(int(start), math.Sqrt(variance), math.MaxInt)
	}
	below := math.Floor(mean)
	f := mean - below
	if variance <= f*(1-f) {
		return neighbours(int(below), f)
	}
	beyond := mean * (variance / (mean - variance)) // size − mean, which keeps a small variance beside a large mean
	smaller := math.Floor(mean + beyond)
	larger := smaller + 1
	if smaller < mean { // and so mean isn't whole, and size below ⌈mean⌉
		w := (variance - f*(1-f)) / (mean*(1-mean/larger) - f*(1-f))
		w = max(0, min(w, 1))
		return Mixture([]float64{w, 1 - w}, binomial(larger, mean), neighbours(int(below), f))
	}
	onSmaller, onLarger := smaller*(larger-mean-beyond), larger*(mean-smaller+beyond)
	if !(onSmaller > 0) {
		return binomial(larger, mean)
	}
	return Mixture([]float64{onSmaller, max(0, onLarger)}, binomial(smaller, mean), binomial(larger, mean))
}

// neighbours is n or n + 1, with the mean n + f.
func neighbours(n int, f float64) Distribution {
	if f == 0 {
		return Exactly(n)
	}
	return Distribution{Offset: n, P: []float64{1 - f, f}}
}
