package curve

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/estimate"
)

// doubleLogistic is the sum of two logistics: two flushes one after the other.
type doubleLogistic struct{}

func (doubleLogistic) Names() []string { return []string{"a1", "k1", "t1", "a2", "k2", "t2"} }

func (doubleLogistic) Value(x float64, th []float64) float64 {
	return estimate.LogisticRate{}.Value(x, th[:3]) + estimate.LogisticRate{}.Value(x, th[3:])
}

func (doubleLogistic) Gradient(x float64, th, grad []float64) {
	estimate.LogisticRate{}.Gradient(x, th[:3], grad[:3])
	estimate.LogisticRate{}.Gradient(x, th[3:], grad[3:])
}

// What makes two flushes and not an uneven one.
const (
	minFlushShare    = 0.15  // of all fruit, in the smaller flush
	maxValleyRate    = 0.5   // of the smaller flush's greatest rate, between the two
	valleyChance     = 0.001 // of so few fruit in the valley under one curve
	minFlushPoints   = 9     // days of counting; the six parameters need three more
	flushImprovement = 0.5   // the two curves leave at most this share of the single curve's squares
)

// twoFlushes looks for a second flush: the days of the middle of each, if there are two. One sigmoid can't describe them,
// and the t50 of such a fit would lie in the valley, where hardly any fruit ripened.
//
// Two logistics are fitted. They count as two flushes if the smaller holds at least 15 % of the fruit, the rate of
// ripening between them falls below half of the smaller one's greatest rate, they leave at most half of the single
// curve's sum of squares, and so few fruit as were counted in the valley would have a chance under one in a thousand if
// the single curve held (Poisson).
func (f *fitted) twoFlushes() (first, second float64, found bool) {
	if len(f.points) < minFlushPoints {
		return 0, 0, false
	}
	double, err := estimate.Search(doubleLogistic{}, dataOf(f.points), f.flushStarts())
	if err != nil {
		return 0, 0, false
	}
	one, two := double.Theta[:3], double.Theta[3:]
	if one[2] > two[2] {
		one, two = two, one
	}
	if !f.plausibleFlushes(one, two) || double.RSS > flushImprovement*f.RSS {
		return 0, 0, false
	}
	lo, hi, ok := valley(one, two)
	if !ok {
		return 0, 0, false
	}
	counted, expected := f.between(lo, hi)
	if expected <= 0 || (distuv.Poisson{Lambda: expected}).CDF(math.Max(0, math.Round(counted))) > valleyChance {
		return 0, 0, false
	}
	return one[2], two[2], true
}

// plausibleFlushes tells whether both flushes rise, hold enough fruit and lie within the days that were counted.
func (f *fitted) plausibleFlushes(one, two []float64) bool {
	for _, th := range [][]float64{one, two} {
		if th[0] <= 0 || th[1] <= 0 || th[2] < f.first().x || th[2] > f.last().x {
			return false
		}
	}
	return math.Min(one[0], two[0]) >= minFlushShare*(one[0]+two[0])
}

// flushStarts places the two flushes at quarters of the rise, with the steepness that such a flush would have.
func (f *fitted) flushStarts() [][]float64 {
	top := f.last().value
	at := func(share float64) float64 {
		for _, p := range f.points {
			if p.value >= share*top {
				return p.x
			}
		}
		return f.last().x
	}
	span := math.Max(f.last().x-f.first().x, 1)
	var starts [][]float64
	for _, split := range []float64{0.35, 0.5, 0.65, 0.8} {
		for _, width := range []float64{0.05, 0.12} {
			k := 1 / (width * span)
			starts = append(starts, []float64{split * top, k, at(split / 2), (1 - split) * top, k, at((1 + split) / 2)})
		}
	}
	return starts
}

// valley returns the days between the two middles on which the joint rate is below half of the smaller flush's greatest.
func valley(one, two []float64) (lo, hi float64, ok bool) {
	rate := func(x float64) float64 { return slope(one, x) + slope(two, x) }
	limit := maxValleyRate * math.Min(one[0]*one[1], two[0]*two[1]) / 4
	const steps = 400
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range steps + 1 {
		x := one[2] + (two[2]-one[2])*float64(i)/steps
		if rate(x) < limit {
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	return lo, hi, hi > lo
}

// slope is the rate of a logistic (a, k, t0) in fruit a day.
func slope(th []float64, x float64) float64 {
	share := 1 / (1 + math.Exp(-th[1]*(x-th[2])))
	return th[0] * th[1] * share * (1 - share)
}

// between returns the fruit counted between the first and the last visit of each plant within [lo, hi], and how many the
// single curve expects there.
func (f *fitted) between(lo, hi float64) (counted, expected float64) {
	shares := f.plantShares()
	type ends struct {
		x0, x1, e0, e1 float64
		n              int
	}
	seen := make([]ends, f.series.plants)
	for _, o := range f.series.obs {
		if o.x < lo || o.x > hi {
			continue
		}
		e := &seen[o.plant]
		if e.n == 0 {
			e.x0, e.e0 = o.x, o.reached
		}
		e.x1, e.e1 = o.x, o.reached
		e.n++
	}
	for g, e := range seen {
		if e.n > 1 {
			counted += e.e1 - e.e0
			expected += shares[g] * (f.value(e.x1) - f.value(e.x0))
		}
	}
	return counted, expected
}
