package countdist

import "math"

// most is the largest expected number, and widest the longest window. They bound memory against a model that went astray: no
// garden bears a million million fruit. A tail beyond the widest window is left out.
const (
	most   = 1e12
	widest = 1 << 20
)

// recurrence is a distribution by the ratio of neighbours (Panjer 1981, ASTIN Bulletin 12:22–26; reference from memory):
//
//	P(k+1)/P(k) = (c + q·k)/(k + 1)
//
// With mean m and variance v, q = 1 − m/v and c = m²/v give the negative binomial for v > m, and the Poisson for v = m.
// For p < 1, q = −p/(1−p) and c = n·p/(1−p) give the binomial of n.
type recurrence struct{ c, q float64 }

// around runs the recurrence from the number start, which should be near the likeliest, down and up until the rest is negligible.
// sd is about the standard deviation, and sets how far down the window can reach: ten of it, beyond which nothing counts. top is the
// largest possible number.
func (r recurrence) around(start int, sd float64, top int) Distribution {
	reach := int(min(10*sd+24, widest/2))
	low := max(0, start-reach)
	p := make([]float64, start-low+1, start-low+1+min(reach, top-start))
	p[start-low] = 1
	sum := 1.0
	first := start
	for term := 1.0; first > low; first-- {
		term *= float64(first) / (r.c + r.q*float64(first-1))
		if term < negligible*sum {
			break
		}
		p[first-1-low] = term
		sum += term
	}
	p = p[first-low:]
	for k, term := start, 1.0; k < top && len(p) < widest; k++ {
		ratio := (r.c + r.q*float64(k)) / float64(k+1)
		term *= ratio
		// From here on no ratio is above the larger of this and q, so what is left is at most a geometric series.
		if term <= negligible*sum*(1-max(ratio, r.q)) {
			break
		}
		p = append(p, term)
		sum += term
	}
	for i := range p {
		p[i] /= sum
	}
	return Distribution{Offset: first, P: p}
}

// Poisson is the number of fruit where each of very many has a very small chance.
func Poisson(mean float64) Distribution { return Matched(mean, mean) }

// Binomial is the number out of n fruit that each, independently, have the chance p.
func Binomial(n int, p float64) Distribution {
	p = chance(p)
	switch {
	case n < 0 || float64(n) > most:
		panic("countdist: the number of fruit is out of range")
	case p == 0 || n == 0:
		return Exactly(0)
	case p == 1:
		return Exactly(n)
	}
	return binomial(float64(n), float64(n)*p)
}

// binomial of size n by its mean, 0 < mean ≤ n. n is whole, and may be too large for an int.
func binomial(n, mean float64) Distribution {
	if n == mean {
		return Exactly(int(n))
	}
	odds := mean / (n - mean)
	start := int(min((n+1)*mean/n, n))
	return recurrence{c: n * odds, q: -odds}.around(start, math.Sqrt(mean*(1-mean/n)), int(min(n, most+widest)))
}

// chance brings a chance back into 0…1 that rounding took out of it.
func chance(p float64) float64 {
	const off = 1e-9
	if !(p >= -off && p <= 1+off) {
		panic("countdist: a chance is not in 0…1")
	}
	return max(0, min(p, 1))
}
