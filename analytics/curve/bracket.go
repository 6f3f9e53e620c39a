package curve

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// A half-width on both sides of t10, t50 or t90 knows nothing of single counts. Where ten fruit were looked at and none had
// reached red, the day by which half of such fruit have is not before, whatever a symmetrical interval says.

// unlikely is the chance, on each side, of what was counted below which an interval doesn't reach.
const unlikely = 0.01

// bracket is the time that the counts leave for a share, by the binomial distribution: it begins at the last round at which so few
// fruit would have been seen with a chance of less than one in a hundred if the share had been reached by then, and ends at the
// first at which so many would if it hadn't. The fruit are taken to be fewer by the dispersion φ, since fruit that ripen together
// tell less. That none of a few fruit was seen doesn't say that a tenth of such fruit wouldn't have been: of ten, none is seen then in a
// third of the cases, and an interval of t10 cut there held the truth in 70 of 100.
//
// Fruit of both sides together are those of the final level. It is the interval of a quantile by order statistics (Conover 1999,
// Practical Nonparametric Statistics, 3rd ed., section 3.2), at 98 %, and so cuts only what the intervals of 90 % have no business with.
func (f *fitted) bracket(share, phi float64) (from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	end := math.Max(f.level(), f.last().value)
	n := end * float64(f.series.plants) / phi
	for _, p := range f.points {
		seen := math.Min(math.Max(p.value/end, 0), 1) * n
		switch {
		case atMost(seen, n, share) < unlikely:
			from = p.x
		case math.IsInf(to, 1) && 1-atMost(seen-1, n, share) < unlikely:
			to = p.x
		}
	}
	if from > to { // the counts fall: nothing is cut by what contradicts itself
		return math.Inf(-1), math.Inf(1)
	}
	return from, to
}

// atMost is the probability of k or fewer of n where each comes with probability p; k and n needn't be whole.
func atMost(k, n, p float64) float64 {
	switch {
	case k < 0:
		return 0
	case k >= n:
		return 1
	}
	return mathext.RegIncBeta(n-k, k+1, 1-p)
}

// tooLoose is said where no interval is given for its width.
const tooLoose = "The counts fix the curve so loosely that its interval would be wider than the time of ripening, so no interval is given."

// loose tells whether the interval of t50 would be wider on each side than the time from t10 to t90.
func (f *fitted) loose(how spread) bool {
	_, grad, ok := f.crossing(0.5)
	from, _, _ := f.crossing(0.1)
	to, _, _ := f.crossing(0.9)
	if !ok {
		return false
	}
	half, ok := how.halfWidth(grad, func(th []float64) float64 {
		at, _ := f.sigmoid.Inverse(0.5, th, nil)
		return at
	})
	return ok && half > to-from
}
