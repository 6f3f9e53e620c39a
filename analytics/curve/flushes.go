package curve

import (
	"cmp"
	"math"
	"slices"
)

// What makes two flushes and not one that is uneven.
const (
	// minFlushGap is the least number of days between the middles. Trusses of one flush follow each other by about a week
	// (common practice), so a flush of a few large trusses has gaps of its own; in simulation (flushes_test.go) those
	// come to look like two flushes up to three weeks apart.
	minFlushGap   = 24.0
	minFlushShare = 0.15 // of all fruit, in the smaller flush
	maxValley     = 0.5  // rate of ripening between the two, of the smaller flush's fastest
	// minFlushGain is how many times its own scatter the deviance has to fall for each of the three more parameters.
	minFlushGain    = 2.5
	minFlushPoints  = 9 // rounds of counting; the six parameters need three more
	flushParameters = 6
)

// twoFlushes looks for a second flush: the days of the middle of each, if there are two. One sigmoid can't describe them,
// and the t50 of such a fit would lie in the valley, where hardly any fruit ripened.
//
// Two logistics are fitted. They count as two flushes if their middles are at least 24 days apart, the smaller holds at
// least 15 % of the fruit, the rate of ripening between them falls below half of the smaller one's fastest, and they
// describe the increments between counts better than one curve by
//
//	(D₁ − D₂)/3 ≥ 2.5·φ₂
//
// D₁ and D₂ being the Poisson deviances of the increments under one curve and under two, each plant with its own share,
// and φ₂ the larger of 1 and D₂ over its degrees of freedom. The sum of squares of the means can't judge this: its
// errors are correlated (see interval.go), and it mistakes the differences between plants counted on different days for
// shape. The 2.5 is no quantile of a distribution but set by simulation, together with the other limits: they find at
// least 97 of 100 clear pairs (40 days apart, 24 fruit or more in the smaller) and take at most 2 of 100 single flushes
// for two (flushes_test.go). Of pairs 30 days apart they find four in five, and of 48 fruit with 12 late nearly as many.
func (f *fitted) twoFlushes() (first, second float64, found bool) {
	if len(f.points) < minFlushPoints || !f.wideEnough() {
		return 0, 0, false
	}
	shares := f.plantShares(f.value)
	all := f.increments(shares)
	df := float64(freedom(all, f.series.plants) - (flushParameters - 1))
	if df < 1 || !f.uneven(all, shares) {
		return 0, 0, false
	}
	d, ok := f.fitDouble()
	if !ok || !f.plausible(d) || d.valley() >= maxValley*math.Min(d.one.fastest(), d.two.fastest()) {
		return 0, 0, false
	}
	single, double := deviance(all, f.value, shares), deviance(all, d.value, f.plantShares(d.value))
	if (single-double)/3 < minFlushGain*math.Max(1, double/df) {
		return 0, 0, false
	}
	return d.one.t, d.two.t, true
}

// plausible tells whether both flushes rise within the days that were counted, far enough apart and with enough fruit.
func (f *fitted) plausible(d *double) bool {
	for _, one := range []flush{d.one, d.two} {
		if one.a <= 0 || one.k <= 0 || one.t < f.first().x || one.t > f.last().x {
			return false
		}
	}
	return d.two.t-d.one.t >= minFlushGap && math.Min(d.one.a, d.two.a) >= minFlushShare*(d.one.a+d.two.a)
}

// deviance is the Poisson deviance of the increments under a curve, 2·Σ(n·ln(n/m) − (n − m)). A fall counts as none, and
// no expectation as less than a hundredth of a fruit: a miscount must not weigh like a proof.
func deviance(all []increment, curve func(x float64) float64, shares []float64) float64 {
	sum := 0.0
	for _, i := range all {
		n, m := math.Max(0, i.fruit), math.Max(0.01, i.expected(curve, shares))
		sum += 2 * (m - n)
		if n > 0 {
			sum += 2 * n * math.Log(n/m)
		}
	}
	return sum
}

// wideEnough spares the fit of two flushes where the counts can't hold any: between the rounds by which 7 and 93 % of the
// fruit had come, both middles lie.
func (f *fitted) wideEnough() bool {
	top := 0.0
	for _, p := range f.points {
		top = max(top, p.value)
	}
	from, to := f.first().x, f.last().x
	for i, p := range f.points {
		if p.value >= minFlushShare/2*top {
			from = f.points[max(0, i-1)].x
			break
		}
	}
	for _, p := range f.points {
		if p.value >= (1-minFlushShare/2)*top {
			to = p.x
			break
		}
	}
	return to-from >= minFlushGap
}

// The screen before the fit of two flushes: eight stretches of time in which the single curve expects as many fruit each.
// Two curves have to gain 3·minFlushGain; where the stretches depart less than that from one curve, there is nothing to
// gain. Of single flushes up to about one in four passes.
const (
	stretches  = 8
	unevenness = 3 * minFlushGain // of χ²
)

// uneven tells whether the fruit of the stretches depart from the curve more than a single flush usually does.
func (f *fitted) uneven(all []increment, shares []float64) bool {
	inOrder := slices.Clone(all)
	slices.SortStableFunc(inOrder, func(a, b increment) int { return cmp.Compare(a.to, b.to) })
	expected := make([]float64, len(inOrder))
	total := 0.0
	for j, i := range inOrder {
		expected[j] = i.expected(f.value, shares)
		total += expected[j]
	}
	var fruit, want [stretches]float64
	sofar := 0.0
	for j, i := range inOrder {
		at := min(stretches-1, int(stretches*(sofar+expected[j]/2)/total))
		fruit[at] += i.fruit
		want[at] += expected[j]
		sofar += expected[j]
	}
	statistic := 0.0
	for j, w := range want {
		if w > 0 {
			statistic += (fruit[j] - w) * (fruit[j] - w) / w
		}
	}
	return statistic >= unevenness
}
