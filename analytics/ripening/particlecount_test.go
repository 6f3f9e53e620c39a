package ripening

import (
	"math"
	"slices"
)

// chance is the log likelihood of a whole count of four stages given how many fruit stand in each. Of the first stage a share is overlooked, and every
// fruit is called its own stage or one beside it. So all numbers follow from how many fruit of each later stage were called the one
// before, over which the likelihood is summed.
func (c *chain) chance(n []int, k *count) float64 {
	y := make([]int, len(n))
	for _, x := range k.seen {
		y[x.stage] = int(x.fruits)
	}
	off := 0
	for s := range n {
		off += max(y[s]-n[s], n[s]-y[s])
	}
	least := -2*unlikely - float64(off)
	up := make([]int, 3) // from each stage to the next, less those the other way
	for s := 2; s >= 0; s-- {
		up[s] = y[s+1] - n[s+1]
		if s < 2 {
			up[s] += up[s+1]
		}
	}
	seen := y[0] + up[0]
	if seen < 0 || seen > n[0] || slices.Max(up) > mostMixed || slices.Min(up) < -mostMixed {
		return least
	}
	to := func(s, j int) float64 { return c.confusion(s, j) }
	total := 0.0
	for b := max(0, -up[1]); b <= max(0, -up[1])+furtherMixed; b++ { // called breaker, and are turning
		left, right := 0.0, 0.0
		for a := max(0, -up[0]); a <= max(0, -up[0])+furtherMixed; a++ {
			left += math.Exp(trinomial(0, a+up[0], seen, 0, to(1, 0)) + trinomial(a, b+up[1], n[1], to(0, 1), to(2, 1)))
		}
		for a := max(0, -up[2]); a <= max(0, -up[2])+furtherMixed; a++ {
			right += math.Exp(trinomial(b, a+up[2], n[2], to(1, 2), to(3, 2)) + trinomial(a, 0, n[3], to(2, 3), 0))
		}
		total += left * right
	}
	return math.Max(least, trinomial(0, n[0]-seen, n[0], 0, 1-c.detect)+math.Log(total))
}

// Fruit called a neighbouring stage in a count, that are thought of: at most so many more one way than the other, and so many besides.
const mostMixed, furtherMixed = 12, 4

// trinomial is the log chance that of n fruit a are called one thing, with chance p, and b another, with chance q.
func trinomial(a, b, n int, p, q float64) float64 {
	if a < 0 || b < 0 || a+b > n {
		return math.Inf(-1)
	}
	term := func(k int, p float64) float64 {
		if k == 0 {
			return 0
		}
		l, _ := math.Lgamma(float64(k) + 1)
		return float64(k)*math.Log(p) - l
	}
	l, _ := math.Lgamma(float64(n) + 1)
	return l + term(a, p) + term(b, q) + term(n-a-b, 1-p-q)
}
