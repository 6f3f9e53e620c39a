package countdist

import "gonum.org/v1/gonum/floats"

// Mixture is one of the distributions, chosen by chance with probabilities in proportion to the weights. A weight is 0 or more, and one is above 0.
func Mixture(weights []float64, ds ...Distribution) Distribution {
	if len(weights) != len(ds) {
		panic("countdist: as many weights as distributions are needed")
	}
	total, low, high := 0.0, 0, 0
	for i, w := range weights {
		finite("a weight", w)
		if w < 0 {
			panic("countdist: a weight is below 0")
		}
		if w == 0 {
			continue
		}
		end := ds[i].Offset + len(ds[i].P)
		if total == 0 {
			low, high = ds[i].Offset, end
		}
		total += w
		low, high = min(low, ds[i].Offset), max(high, end)
	}
	if total == 0 {
		panic("countdist: no weight is above 0")
	}
	p := make([]float64, high-low)
	for i, w := range weights {
		if w == 0 {
			continue
		}
		from := ds[i].Offset - low
		floats.AddScaled(p[from:from+len(ds[i].P)], w/total, ds[i].P)
	}
	return Distribution{Offset: low, P: p}
}

// Sum is the distribution of the sum of independent numbers, of none 0. Neighbours are added in pairs, then the pairs, so that the
// windows of many plants stay short: 1,000 plants cost the square of the last window's length a few times over.
func Sum(ds ...Distribution) Distribution {
	switch len(ds) {
	case 0:
		return Exactly(0)
	case 1:
		return ds[0]
	}
	half := len(ds) / 2
	return add(Sum(ds[:half]...), Sum(ds[half:]...))
}

// tooWide is from how many pairs of numbers on a sum is taken by its moments: windows of ten thousand fruit each, which only numbers
// written down by mistake have.
const tooWide = 1e8

// add convolves two distributions and cuts off what is negligible at the ends. Two very wide ones are added by their means and variances.
func add(a, b Distribution) Distribution {
	if len(a.P) > len(b.P) {
		a, b = b, a
	}
	if len(a.P) == 0 {
		panic("countdist: a distribution is empty")
	}
	if float64(len(a.P))*float64(len(b.P)) > tooWide {
		m, v := a.moments()
		n, w := b.moments()
		return Matched(m+n, v+w)
	}
	p := make([]float64, len(a.P)+len(b.P)-1)
	for i, x := range a.P {
		floats.AddScaled(p[i:i+len(b.P)], x, b.P)
	}
	return trim(Distribution{Offset: a.Offset + b.Offset, P: p})
}

func trim(d Distribution) Distribution {
	first, last := 0, len(d.P)
	for cut := d.P[first]; cut < negligible; cut += d.P[first] {
		first++
	}
	for cut := d.P[last-1]; cut < negligible; cut += d.P[last-1] {
		last--
	}
	return Distribution{Offset: d.Offset + first, P: d.P[first:last]}
}

// NoLess has the cumulative chances min(F_d, F_least): d raised just so far that no number is reached sooner than by least. Of two distributions of one
// growing number it is the later one.
func NoLess(d, least Distribution) Distribution {
	first := max(d.Offset, least.Offset)
	end := max(d.Offset+len(d.P), least.Offset+len(least.P))
	p := make([]float64, end-first)
	atMost, a, b := 0.0, d.AtMost(first-1), least.AtMost(first-1)
	for i := range p {
		a, b = a+d.Probability(first+i), b+least.Probability(first+i)
		next := max(atMost, min(a, b))
		p[i], atMost = next-atMost, next
	}
	return trim(Distribution{Offset: first, P: p})
}

// NoMore has the cumulative chances max(F_d, F_most): d lowered just so far that no number is passed likelier than by most.
func NoMore(d, most Distribution) Distribution {
	first := min(d.Offset, most.Offset)
	end := min(d.Offset+len(d.P), most.Offset+len(most.P))
	p := make([]float64, end-first)
	atMost, a, b := 0.0, 0.0, 0.0
	for i := range p {
		a, b = a+d.Probability(first+i), b+most.Probability(first+i)
		next := max(atMost, min(1, max(a, b)))
		if i == len(p)-1 {
			next = 1
		}
		p[i], atMost = next-atMost, next
	}
	return trim(Distribution{Offset: first, P: p})
}

// exact is how many fruit PoissonBinomial takes without leaving out anything.
const exact = 512

// Within is the number where one below low is taken for low, and one above high for high; low is at most high.
func Within(d Distribution, low, high int) Distribution {
	if len(d.P) == 0 {
		return d
	}
	first, last := max(low, min(d.Offset, high)), min(high, max(d.Offset+len(d.P)-1, low))
	p := make([]float64, last-first+1)
	for i, x := range d.P {
		at := max(first, min(d.Offset+i, last)) - first
		p[at] = min(p[at]+x, 1) // rounding may carry it beyond
	}
	return Distribution{Offset: first, P: p}
}

// PoissonBinomial is the number out of independent fruit that each have a chance of their own, by convolution. It is exact up to 512
// fruit with chances other than 0 and 1; of more it is the Sum of such parts.
//
// Where many fruit share a chance, Sum of a Binomial for each chance gives the same sooner.
func PoissonBinomial(p []float64) Distribution {
	certain := 0
	var parts []Distribution
	open := make([]float64, 0, min(len(p), exact))
	for _, one := range p {
		switch one = chance(one); one {
		case 0:
		case 1:
			certain++
		default:
			if open = append(open, one); len(open) == exact {
				parts = append(parts, bernoulli(open))
				open = open[:0]
			}
		}
	}
	d := Sum(append(parts, bernoulli(open))...)
	d.Offset += certain
	return d
}

// bernoulli adds one fruit after another.
func bernoulli(chances []float64) Distribution {
	p := make([]float64, 1, len(chances)+1)
	p[0] = 1
	for _, c := range chances {
		p = append(p, 0)
		for k := len(p) - 1; k > 0; k-- {
			p[k] = p[k]*(1-c) + p[k-1]*c
		}
		p[0] *= 1 - c
	}
	return Distribution{P: p}
}
