package forecast

import (
	"math"
	"time"

	"vinetally/analytics/ripening"
)

// ToCome is what is still to become ripe, on a plant or on some together, of the fruit that has set. Fruit expected to be picked or lost before it is
// ripe isn't in it, nor what stays unripe for 200 days, nor what is yet to set.
type ToCome struct {
	Mean      float64
	Low, High int
	// Unseen is how much of it is expected to have set since the last counts.
	Unseen float64
	// Unlikely tells that it is likelier that none is to come than that any is: no day is told.
	Unlikely bool
	// First is when the first of it is ripe, Half and Most when half and nine tenths are, Last when all is.
	First, Half, Most, Last RipeBy
	// NextFlush is when a second wave begins to ripen after a lull, zero where none is in sight. What is a lull is a judgement on what is expected.
	NextFlush RipeBy
	// LastDay is how much is ripe by the season's last day; nil where that isn't known, has passed or is more than 112 days ahead, and where none is
	// likely to come.
	LastDay *ByDay
}

// The shares of what is to come of which it is told by when they are ripe.
const (
	half = 0.5
	most = 0.9
)

// fewestToCome is how much fruit has to be expected for a day to be named.
const fewestToCome = 0.5

// toCome is that of some plants together, nil of none. What they share, the weather and what isn't known of a cultivar, moves all their fruit together.
// Parts are what is told of the single plants, and of the cultivars.
func toCome(g *group, parts []*ToCome, o *Options, asOf time.Time) *ToCome {
	c := g.course
	if c == nil {
		return nil
	}
	t, median := numberToCome(g)
	if t.Unlikely = median == 0 || c.Ripening.Mean < fewestToCome; t.Unlikely {
		return t
	}
	t.First, t.Half, t.Most, t.Last = firstBy(g, asOf), ripeBy(g, half, t.Low, asOf), ripeBy(g, most, t.Low, asOf), lastBy(g, asOf)
	t.order(parts)
	t.LastDay = byLastDay(g, t, o, asOf)
	if day := nextFlush(c.Later); day > 0 {
		t.NextFlush = flushBy(c, float64(day), asOf)
	}
	return t
}

// numberToCome is how much is to come, with the median.
func numberToCome(g *group) (t *ToCome, median int) {
	c := g.course
	n := g.ever
	return &ToCome{Mean: c.Ripening.Mean, Low: n.Quantile((1 - Level) / 2), High: n.Quantile((1 + Level) / 2), Unseen: c.Unseen.Mean}, n.Quantile(0.5)
}

// order puts the days in the order in which they must be: those of larger shares no sooner, and the last of all no sooner than that of a part.
func (t *ToCome) order(parts []*ToCome) {
	for _, x := range parts {
		if x.Low >= 1 { // else the last day is of a fruit that there may not be
			t.Last.notBefore(x.Last)
		}
	}
	t.Most.notAfter(t.Last)
	t.Half.notAfter(t.Most)
	t.First.notAfter(t.Half)
}

// flushBy is when a wave begins to ripen, with the interval of the day by which as much is ripe as is expected to be then.
func flushBy(c *ripening.Course, day float64, asOf time.Time) RipeBy {
	r := quantiles(len(c.Later), asOf, shareBy(c, momentOf(c, day, c.By(day)/c.Ripening.Mean)))
	r.On = asOf.AddDate(0, 0, int(day))
	if !r.Low.IsZero() {
		r.Low, r.High = sooner(r.Low, r.On), later(r.High, r.On)
	}
	return r
}

// nextFlush is the day ahead at which ripening picks up again after a lull: the end of the longest stretch in which, over a week, less
// than a third ripens of what does in the best week before it and after it; 0 if there is none. A week has to bring two fruit to count.
func nextFlush(by []float64) int {
	const week, fewest, lull = 7, 2.0, 1.0 / 3
	weekly := make([]float64, 0, len(by))
	for d := range by {
		before := 0.0
		if d >= week {
			before = by[d-week]
		}
		weekly = append(weekly, by[d]-before)
	}
	best, after := 0.0, 0
	for d := week; d < len(weekly); d++ {
		best = math.Max(best, weekly[d])
		if weekly[d] > best*lull || best < fewest {
			continue
		}
		peak := 0.0
		for e := d; e < len(weekly); e++ {
			peak = math.Max(peak, weekly[e])
		}
		if peak < fewest || weekly[d] > peak*lull {
			continue
		}
		for e := d; e < len(weekly); e++ {
			if weekly[e] > peak*lull {
				after = e - week + 2
				break
			}
		}
		break
	}
	return after
}
