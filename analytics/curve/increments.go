package curve

import "math"

// increment is the new fruit of one plant between two of its counts.
type increment struct {
	plant    int
	from, to float64 // days; from is −∞ for what had reached the stage by the first count
	fruit    float64 // fewer than none where later counts found less
}

// plantShares returns each plant's own share of a pooled curve, c_g = Σ_k E_gk / Σ_k f(x_gk): how many times the fruit of
// the curve it bears.
func (f *fitted) plantShares(curve func(x float64) float64) []float64 {
	shares := make([]float64, f.series.plants)
	expected := make([]float64, f.series.plants)
	for _, o := range f.series.obs {
		shares[o.plant] += o.reached
		expected[o.plant] += curve(o.x)
	}
	for g := range shares {
		if expected[g] > 0 {
			shares[g] /= expected[g]
		}
	}
	return shares
}

// expected is the fruit that a curve expects in an increment.
func (i increment) expected(curve func(x float64) float64, shares []float64) float64 {
	before := 0.0
	if !math.IsInf(i.from, -1) {
		before = curve(i.from)
	}
	return shares[i.plant] * (curve(i.to) - before)
}

// increments returns the increments of every plant in the order of time, neighbours joined until the fitted curve expects
// at least one fruit in each; what is left at the end joins the last.
func (f *fitted) increments(shares []float64) []increment {
	type state struct {
		increment
		before  float64 // reached at its start
		reached float64 // at the latest count
		at      float64
		closed  int // index of the plant's last closed increment, -1 for none
	}
	plants := make([]state, f.series.plants)
	for g := range plants {
		plants[g].increment = increment{plant: g, from: math.Inf(-1)}
		plants[g].closed = -1
	}
	var out []increment
	for _, o := range f.series.obs {
		s := &plants[o.plant]
		s.to, s.fruit = o.x, o.reached-s.before
		s.at, s.reached = o.x, o.reached
		if s.expected(f.value, shares) < 1 {
			continue
		}
		s.closed = len(out)
		out = append(out, s.increment)
		s.from, s.before = o.x, o.reached
	}
	for _, s := range plants {
		if s.closed >= 0 && s.at > s.from {
			last := &out[s.closed]
			last.to = s.at
			last.fruit += s.reached - s.before
		}
	}
	return out
}

// freedom is the number of increments less one for each plant's own share.
func freedom(all []increment, plants int) int {
	seen := make([]bool, plants)
	n := len(all)
	for _, i := range all {
		if !seen[i.plant] {
			seen[i.plant] = true
			n--
		}
	}
	return n
}

// dispersion returns φ, Pearson's statistic of the increments over its degrees of freedom, at least 1, and those degrees
// of freedom.
func (f *fitted) dispersion(shares []float64) (phi float64, df int) {
	all := f.increments(shares)
	pearson := 0.0
	for _, i := range all {
		e := i.expected(f.value, shares)
		pearson += (i.fruit - e) * (i.fruit - e) / e
	}
	df = freedom(all, f.series.plants) - (len(f.Theta) - 1)
	if df < 1 {
		return 1, df
	}
	return math.Max(1, pearson/float64(df)), df
}
