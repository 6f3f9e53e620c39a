package curve

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Plants bear more or less, and not every plant is counted in every round: some on another day, some no longer once they are
// gone. The plain mean of a round then goes up and down with who was counted. So each plant has a share c_g of the pooled curve,
// 1 in the mean, and a round stands at Σ E_g / Σ c_g. The shares are those that the curve gives back at each plant's last
// count, c_g = E_g/f(x_g), fitted in turn with the curve until they stand still: all the fruit of a plant over all that the
// curve expects by then, which is the share's maximum likelihood under Poisson increments. A plant that is merely later than the
// others is not taken for a smaller one, as it would be by its numbers along the way; and one whose own numbers have levelled off is
// taken to be done, whatever the curve of all still expects. Where every plant is in every round the shares don't matter, and
// the points are means.

const (
	// leastShare keeps a plant that bore next to nothing from being divided by.
	leastShare = 0.01
	// sizeShown is the share of the level at which the curve must stand by a plant's last count for its own numbers to say how
	// much it would have borne; a plant that was gone before counts as an average one.
	sizeShown = 0.1
	// doneRise is the share of its fruit that a plant may have gained, over half the time from a quarter to three quarters of the
	// level, and count as levelled off.
	doneRise    = 0.05
	mostTurns   = 60
	sharesStill = 1e-5
	curveStill  = 1e-3 // fruit
)

func (s series) share(plant int) float64 {
	if s.shares == nil {
		return 1
	}
	return s.shares[plant]
}

// balanced tells whether every plant is in every round.
func (s series) balanced() bool {
	for _, m := range s.means() {
		if len(m.obs) < s.plants {
			return false
		}
	}
	return true
}

// firstShares are the plants' highest numbers over their mean.
func (s series) firstShares() []float64 {
	top := make([]float64, s.plants)
	for _, o := range s.obs {
		top[o.plant] = math.Max(top[o.plant], o.reached)
	}
	return meanOne(top)
}

// meanOne scales shares to a mean of 1, none of them below the least.
func meanOne(shares []float64) []float64 {
	mean := floats.Sum(shares) / float64(len(shares))
	if !(mean > 0) {
		return nil
	}
	for g := range shares {
		shares[g] = math.Max(shares[g]/mean, leastShare)
	}
	floats.Scale(float64(len(shares))/floats.Sum(shares), shares)
	return shares
}

// fitBalancing fits the curve, the plants' shares and what bounded counts come to in turn. It returns the series as it was fitted last, also beside an
// error, whose words need its means.
func (s series) fitBalancing() (*fitted, series, error) {
	balanced := s.balanced()
	if !balanced {
		s.shares = s.firstShares()
	}
	var before []float64 // the curve at bounded counts
	for turn := 1; ; turn++ {
		f, err := fit(s)
		if err != nil || turn == mostTurns {
			return f, s, err
		}
		shares, bounds, curve := s.shares, f.impute(), f.atBounds()
		if !balanced {
			shares = f.ownShares()
		}
		settled := balanced || shares == nil || floats.Distance(shares, s.share1(), math.Inf(1)) < sharesStill
		same := before != nil && floats.Distance(before, curve, math.Inf(1)) < curveStill
		if settled && (same || len(bounds) == 0 && len(s.imputed) == 0) {
			return f, s, nil
		}
		if shares != nil {
			s.shares = shares
		}
		s.imputed, before = bounds, curve
	}
}

// share1 are the shares, spelt out.
func (s series) share1() []float64 {
	all := make([]float64, s.plants)
	for g := range all {
		all[g] = s.share(g)
	}
	return all
}

// ownShares are the shares that the curve gives back.
func (f *fitted) ownShares() []float64 {
	from, _, _ := f.crossing(0.25)
	to, _, _ := f.crossing(0.75)
	last, before := make([]observation, f.series.plants), make([]observation, f.series.plants)
	for _, o := range f.series.obs {
		last[o.plant] = o
	}
	for _, o := range f.series.obs {
		if o.x <= last[o.plant].x-(to-from)/2 {
			before[o.plant] = o
		}
	}
	shares := make([]float64, len(last))
	for g, o := range last {
		expected := f.value(o.x)
		switch rise := o.reached - before[g].reached; {
		case o.reached > 0 && rise <= doneRise*o.reached:
			shares[g] = o.reached / f.level()
		case expected >= sizeShown*f.level():
			shares[g] = o.reached / expected
		default:
			shares[g] = 1
		}
	}
	return meanOne(shares)
}

// partly is how many plants were counted during a part of the ripening only: not from t10 on, or not until t90.
func (f *fitted) partly() int {
	first, last := make([]float64, f.series.plants), make([]float64, f.series.plants)
	for g := range first {
		first[g], last[g] = math.Inf(1), math.Inf(-1)
	}
	for _, o := range f.series.obs {
		first[o.plant], last[o.plant] = math.Min(first[o.plant], o.x), math.Max(last[o.plant], o.x)
	}
	from, _, _ := f.crossing(0.1)
	to, _, _ := f.crossing(0.9)
	from, to = math.Max(from, f.first().x), math.Min(to, f.last().x)
	n := 0
	for g := range first {
		if first[g] > from || last[g] < to {
			n++
		}
	}
	return n
}
