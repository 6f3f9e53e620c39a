package curve

import (
	"math"

	"vinetally/analytics/estimate"
)

// twoLogistics is the sum of two logistics: two flushes one after the other.
type twoLogistics struct{}

func (twoLogistics) Names() []string { return []string{"a1", "k1", "t1", "a2", "k2", "t2"} }

func (twoLogistics) Value(x float64, th []float64) float64 {
	return estimate.LogisticRate{}.Value(x, th[:3]) + estimate.LogisticRate{}.Value(x, th[3:])
}

func (twoLogistics) Gradient(x float64, th, grad []float64) float64 {
	return estimate.LogisticRate{}.Gradient(x, th[:3], grad[:3]) + estimate.LogisticRate{}.Gradient(x, th[3:], grad[3:])
}

// flush is one of the two: a fruit a plant, k per day, t the day of its middle.
type flush struct{ a, k, t float64 }

// rate is the rate of ripening in fruit a plant and day.
func (f flush) rate(x float64) float64 {
	share := 1 / (1 + math.Exp(-f.k*(x-f.t)))
	return f.a * f.k * share * (1 - share)
}

// fastest is the rate at the middle.
func (f flush) fastest() float64 { return f.a * f.k / 4 }

// double is a fit of two logistics, the earlier first.
type double struct {
	*estimate.Fit
	one, two flush
}

func (d *double) value(x float64) float64 { return twoLogistics{}.Value(x, d.Theta) }

// fitDouble fits two logistics to the means of the rounds from starts with the flushes at several places, as steep as such flushes
// would be.
func (f *fitted) fitDouble() (*double, bool) {
	data := dataOf(f.points)
	top := 0.0
	for _, y := range data.Y {
		top = max(top, y)
	}
	var starts [][]float64
	for _, split := range []float64{0.3, 0.5, 0.7, 0.85} {
		// The middle half of each flush tells its steepness: from a quarter to three quarters is 2·ln 3 over k.
		lo, mid, hi := reaches(data, 0.25*split*top), reaches(data, 0.5*split*top), reaches(data, 0.75*split*top)
		first := flush{split * top, 2 * math.Log(3) / max(hi-lo, 1), mid}
		lo, mid, hi = reaches(data, (split+0.25*(1-split))*top), reaches(data, (split+0.5*(1-split))*top), reaches(data, (split+0.75*(1-split))*top)
		second := flush{(1 - split) * top, 2 * math.Log(3) / max(hi-lo, 1), mid}
		starts = append(starts, []float64{first.a, first.k, first.t, second.a, second.k, second.t})
	}
	fit, err := estimate.Search(twoLogistics{}, data, starts)
	if err != nil {
		return nil, false
	}
	d := &double{Fit: fit, one: flush{fit.Theta[0], fit.Theta[1], fit.Theta[2]}, two: flush{fit.Theta[3], fit.Theta[4], fit.Theta[5]}}
	if d.one.t > d.two.t {
		d.one, d.two = d.two, d.one
	}
	return d, true
}

// valley is the lowest rate of ripening between the two middles.
func (d *double) valley() float64 {
	const steps = 200
	lowest := math.Inf(1)
	for i := range steps + 1 {
		x := d.one.t + (d.two.t-d.one.t)*float64(i)/steps
		lowest = math.Min(lowest, d.one.rate(x)+d.two.rate(x))
	}
	return lowest
}
