package curve

import "math"

// As with least squares (misfit.go), an interval that knows of scatter alone is too sure where the counts stand off the family. So
// each is stretched, on one side, as far as the counts stand from the curve there.

// excess is by how much the share of the fruit that had reached the stage in the counts near x is above the best family's. It looks a third of the
// time from a quarter to three quarters to either side, and over one interval between rounds at least.
func (e *events) excess(x float64) float64 {
	best := e.fits[0]
	from, _ := best.Quantile(0.25)
	to, _ := best.Quantile(0.75)
	reach := math.Max((to-from)/3, 1.25*(e.last().x-e.first().x)/float64(len(e.points)-1))
	left, weight := 0.0, 0.0
	for _, p := range e.points {
		w := 1 - math.Abs(p.x-x)/reach
		if w <= 0 {
			continue
		}
		share := best.Share(p.x)
		for _, i := range p.obs {
			o := e.series.obs[i]
			left += w * (o.reached - e.plants[o.plant]*share)
			weight += w * e.plants[o.plant]
		}
	}
	if weight == 0 {
		return 0
	}
	return left / weight
}

// sooner is how many days before x, to first order, the counts reach the share that the best family reaches at x.
func (e *events) sooner(x float64) float64 {
	best := e.fits[0]
	step := best.Sigma / 100
	rate := (best.Share(x+step) - best.Share(x-step)) / (2 * step)
	if days := e.excess(x) / rate; !math.IsNaN(days) && !math.IsInf(days, 0) {
		return days
	}
	return 0
}
