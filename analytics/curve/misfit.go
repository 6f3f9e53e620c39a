package curve

import "math"

// A sigmoid of three parameters has the shape of its family, and fruit don't know it. Where the counts stand off the
// curve in one direction, no scatter of theirs tells how far t10, t50 or t90 is out: with eighty plants and skewed times of
// ripening, 95 of 100 intervals of t90 that knew of scatter alone missed the truth. So every interval is stretched, on one
// side, as far as the counts themselves stand from the curve there.

// smoother averages what the counts leave over beside the curve, fruit of a plant of average crop.
type smoother struct {
	f       *fitted
	shares  []float64 // c_g
	reach   float64   // days to either side
	stretch float64   // days that the rate at the end of the counts is taken over
	// left and weight are Σ (E − c_g·f) and Σ c_g of each round.
	left, weight []float64
}

// smooth returns the smoother of a fit: it reaches a third of the time from a quarter to three quarters of the level, and
// takes the rate at the end over half of that time; at least something over one interval between rounds.
func (f *fitted) smooth() smoother {
	from, _, _ := f.crossing(0.25)
	to, _, _ := f.crossing(0.75)
	apart := (f.last().x - f.first().x) / float64(len(f.points)-1)
	s := smoother{f: f, shares: f.plantShares(f.value), reach: math.Max((to-from)/3, 1.25*apart), stretch: math.Max((to-from)/2, 1.5*apart),
		left: make([]float64, len(f.points)), weight: make([]float64, len(f.points))}
	for j, p := range f.points {
		for _, i := range p.obs {
			o := f.series.obs[i]
			s.left[j] += o.reached - s.shares[o.plant]*f.value(o.x)
			s.weight[j] += s.shares[o.plant]
		}
	}
	return s
}

// around is Σ w·(E − c_g·f) and Σ w·c_g over the counts, w falling from 1 at x to 0 at the reach.
func (s smoother) around(x float64) (left, weight float64) {
	for j, p := range s.f.points {
		if w := 1 - math.Abs(p.x-x)/s.reach; w > 0 {
			left += w * s.left[j]
			weight += w * s.weight[j]
		}
	}
	return left, weight
}

// at is how far the counts near x stand above the curve.
func (s smoother) at(x float64) float64 {
	left, weight := s.around(x)
	if weight == 0 {
		return 0
	}
	return left / weight
}

// all is how far all plants stand above the curve at x, those that aren't counted near x taken to lie on it: a plant or two
// that are still counted at the end draw their own numbers and not the curve's.
func (s smoother) all(x float64) float64 {
	left, weight := s.around(x)
	every := 0.0
	for _, c := range s.shares {
		every += c
	}
	if weight = math.Max(weight, every); weight == 0 {
		return 0
	}
	return left / weight
}

// days is how much later, to first order, the curve reaches a share of its level than the counts reach that share of where
// they end; x is the day the curve does.
func (s smoother) days(share, x float64) float64 {
	end := s.f.last().x
	counted := (s.f.value(x) + s.at(x)) / (s.f.value(end) + s.at(end))
	d := (counted - share) * s.f.level() / s.f.rate(x)
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return 0
	}
	return d
}

// slowing is the rate at which fruit still reached the stage at the end of the counts, as a share of the curve's fastest:
// each plant's last count against the latest that is at least a stretch older.
func (s smoother) slowing() float64 {
	type span struct{ from, to observation }
	spans := make([]span, s.f.series.plants)
	for _, o := range s.f.series.obs {
		spans[o.plant].to = o
	}
	for _, o := range s.f.series.obs {
		if p := &spans[o.plant]; o.x <= p.to.x-s.stretch {
			p.from = o
		}
	}
	rate, weights := 0.0, 0.0
	for g, p := range spans {
		if p.from.at.IsZero() || p.to.x < s.f.last().x-s.stretch {
			continue
		}
		rate += (p.to.reached - p.from.reached) / (p.to.x - p.from.x)
		weights += s.shares[g]
	}
	if weights == 0 {
		return math.Inf(1)
	}
	return rate / weights / s.f.fastest()
}
