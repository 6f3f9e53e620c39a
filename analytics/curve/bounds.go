package curve

import (
	"fmt"
	"math"
	"slices"
	"time"

	"vinetally/analytics/ledger"
)

// A count that was given up ("at least 50"), one of some trusses, a total without colours, and every count after fruit was taken from a
// whole unit leave the number that reached a stage between two bounds, of which the upper may be missing. Such a count is a
// censored observation: it says that the number lies in there, and enters the fit as that and never as a number.
//
// Given the exact numbers E_a and E_b of a plant before and after, its number at x is taken to have the mean m and variance of new
// fruit that come independently, whose times between the two counts have the curve's own distribution:
//
//	p = (f(x)−f(a))/(f(b)−f(a)),  m = E_a + p·(E_b−E_a),  σ² = p·(1−p)·(E_b−E_a)
//
// and after the last exact count the curve's own increase for both; σ² is at least a quarter of a fruit², since counts are whole. Where
// m + σ is below the lower bound, or m − σ above the upper one, least squares has one more observation: the curve moved by so much as
// lacks to the bound, with the weight of a count. Where the curve agrees with the bound, or contradicts it by no more than chance, it
// has none. That is the number as a nuisance parameter, free within its bounds, and it doesn't depend on how a grower came to give up.
// The likelihood of an independently censored number does (Tobin 1958, Econometrica 26:24–36): it was tried, and where each count
// was given up at 85 % of what there was it made t50 two days early, while it is as good where all are given up at a fixed number.
//
// How far the plant itself stands from the curve is in m, so an early plant's bounds don't make all plants early.

// bounded is a count of one plant that leaves ever_reached between two numbers.
type bounded struct {
	plant     int
	at        time.Time
	x         float64
	low, high float64 // high is +∞ where nothing bounds it
	stood     int     // at or beyond the stage, at least
}

// imputed is what a bounded count that the curve contradicts comes to for least squares, on the scale of the curve.
type imputed struct {
	plant    int
	x        float64
	value    float64 // over the plant's share
	variance float64 // of value
}

// collectBounds adds the bounded counts of a plant that has exact ones. A lower bound that the exact count before it has reached, and no upper
// one, says nothing; one that a later count contradicts isn't sure.
func (s *series) collectBounds(b *ledger.Book, member, stage int, origin time.Time) {
	removed, next, known := 0, 0, -1.0
	for i := range b.Visits {
		for ; next < len(b.Removals) && b.Removals[next].Interval <= i; next++ {
			if r := &b.Removals[next]; r.Sure && r.Counted && max(0, r.Stage) >= stage {
				removed += r.Fruits
			}
		}
		v := &b.Visits[i]
		if v.EverReached[stage] != nil {
			known = float64(*v.EverReached[stage])
			continue
		}
		low, high := float64(v.AtOrBeyondAtLeast[stage]+removed), math.Inf(1)
		if most := v.EverReachedAtMost[stage]; most != nil {
			high = float64(*most)
		}
		switch {
		case low > high, low <= max(known, 0) && math.IsInf(high, 1):
			continue
		case v.DoubtedAt(stage):
			s.boundsLeft++
			continue
		}
		s.bounds = append(s.bounds, bounded{plant: s.plants, at: v.CountedAt.At, x: s.clock.days(member, origin, v.CountedAt.At),
			low: low, high: high, stood: v.AtOrBeyondAtLeast[stage]})
	}
}

// consistentBounds are the bounds that no exact count of the plant contradicts: none before them may have more than they allow, none
// after fewer.
func (s series) consistentBounds() (kept []bounded, left int) {
	if len(s.bounds) == 0 {
		return nil, 0
	}
	exact := s.byPlant()
	for _, c := range s.bounds {
		against := slices.ContainsFunc(exact[c.plant], func(i int) bool {
			o := s.obs[i]
			slack := float64(ledger.Allowance(c.stood, o.stood))
			return o.at.After(c.at) && o.reached+slack < c.low || o.at.Before(c.at) && o.reached-slack > c.high
		})
		if against {
			left++
			continue
		}
		kept = append(kept, c)
	}
	return kept, left
}

// impute works out what the bounded counts come to beside the curve.
func (f *fitted) impute() []imputed {
	if len(f.series.bounds) == 0 {
		return nil
	}
	var out []imputed
	exact := f.series.byPlant()
	for _, c := range f.series.bounds {
		mean, sd := f.between(c, exact[c.plant])
		lacks := math.Max(0, c.low-sd-mean) - math.Max(0, mean-sd-c.high)
		if lacks == 0 {
			continue
		}
		share := f.series.share(c.plant)
		out = append(out, imputed{plant: c.plant, x: c.x, value: f.value(c.x) + lacks/share, variance: sd * sd / (share * share)})
	}
	return out
}

// atBounds is the curve at the bounded counts, by which two fits are told to be the same.
func (f *fitted) atBounds() []float64 {
	all := make([]float64, len(f.series.bounds))
	for i, c := range f.series.bounds {
		all[i] = f.value(c.x)
	}
	return all
}

// between is the mean and standard deviation of a plant's number at a bounded count, given its exact ones around it.
func (f *fitted) between(c bounded, exact []int) (mean, sd float64) {
	before, after := -1, -1
	for _, i := range exact { // in the order of time
		if f.series.obs[i].x > c.x {
			after = i
			break
		}
		before = i
	}
	share, at := f.series.share(c.plant), f.value(c.x)
	from, reached := 0.0, 0.0
	if before >= 0 {
		from, reached = f.value(f.series.obs[before].x), f.series.obs[before].reached
	}
	if after < 0 {
		come := math.Max(0, share*(at-from))
		return reached + come, math.Sqrt(math.Max(come, 0.25))
	}
	to := f.value(f.series.obs[after].x)
	p := 0.5
	if to > from {
		p = math.Min(math.Max((at-from)/(to-from), 0), 1)
	}
	come := f.series.obs[after].reached - reached
	return reached + p*come, math.Sqrt(math.Max(p*(1-p)*math.Max(0, come), 0.25))
}

// boundedWords says how many counts enter as bounds.
func boundedWords(n int) string {
	if n == 1 {
		return "One count leaves the number open (unfinished, of a part, or after fruit was taken from the whole unit); it enters the curve as a bound and not as a number."
	}
	return fmt.Sprintf("%d counts leave the number open (unfinished, of a part, or after fruit was taken from the whole unit); they enter the curve as bounds and not as numbers.", n)
}
