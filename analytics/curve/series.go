package curve

import (
	"cmp"
	"slices"
	"time"

	"vinetally/analytics/ledger"
)

// observation is ever_reached of one stage at one exact count of one plant.
type observation struct {
	plant   int // index of the plant within its series
	at      time.Time
	x       float64 // days since the origin
	reached float64
	stood   int // at or beyond the stage, of reached
	// rest is nil where the count doesn't tell all stages.
	rest *notReached
}

// notReached is the fruit of a plant that hasn't reached a stage at a count, and what never will.
type notReached struct {
	below float64 // standing
	early float64 // taken before it reached the stage, so far
}

// series is all observations of one stage of one plant or of several.
type series struct {
	plants int
	obs    []observation // by time, then plant
	// shares is how many times the fruit of the mean plant each bears, 1 in the mean; nil is 1 for all (see shares.go).
	shares []float64
	// left is how many exact counts were left out (see consistent.go), boundsLeft how many others.
	left, boundsLeft int
	// bounds are the counts that leave the number open, and imputed is what they come to beside the curve that was fitted last (see
	// bounds.go).
	bounds  []bounded
	imputed []imputed
	// clock is what x counts; the zero value is calendar days.
	clock timeline
}

const day = 24 * time.Hour

// observe collects the exact observations of a stage from the books of some plants, in days of a clock. Counts that leave the stage unknown
// give none but may bound it, and a plant without any exact one isn't in the series.
func observe(books []*ledger.Book, stage int, origin time.Time, clock timeline) series {
	s := series{clock: clock}
	for member, b := range books {
		before := len(s.obs)
		for _, v := range b.Visits {
			if v.EverReached[stage] == nil {
				continue
			}
			s.obs = append(s.obs, observation{
				plant:   s.plants,
				at:      v.CountedAt.At,
				x:       clock.days(member, origin, v.CountedAt.At),
				reached: float64(*v.EverReached[stage]),
				stood:   stood(&v, stage),
				rest:    restOf(&v, stage),
			})
		}
		if len(s.obs) > before {
			s.collectBounds(b, member, stage, origin)
			s.plants++
		}
	}
	sortObservations(s.obs)
	return s
}

func stood(v *ledger.Entry, stage int) int {
	if n := v.AtOrBeyond[stage]; n != nil {
		return *n
	}
	return *v.EverReached[stage]
}

// restOf tells what hasn't reached a stage, where the count tells it of all stages.
func restOf(v *ledger.Entry, stage int) *notReached {
	if v.EverReached[0] == nil || v.AtOrBeyond[0] == nil || v.AtOrBeyond[stage] == nil {
		return nil
	}
	below := *v.AtOrBeyond[0] - *v.AtOrBeyond[stage]
	return &notReached{below: float64(below), early: float64(*v.EverReached[0] - *v.EverReached[stage] - below)}
}

func sortObservations(obs []observation) {
	slices.SortStableFunc(obs, func(a, b observation) int {
		return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.plant, b.plant), a.at.Compare(b.at))
	})
}

func daysBetween(origin, at time.Time) float64 { return float64(at.Sub(origin)) / float64(day) }

// mean is ever_reached of the plants counted in one round over the shares of the fruit that they bear, Σ E_g / Σ c_g: the
// point that least squares sees. Where every plant was counted it is their mean.
type mean struct {
	at     time.Time // mean instant
	x      float64   // mean day
	value  float64   // fruit of the mean plant
	weight float64   // Σ c_g, the number of plants where all were counted
	obs    []int     // their indices in series.obs, in the order of plants
}

// roundLength is how long a round of counting may last, in days of the clock: half a day and what rounding makes of it. It isn't taken
// from the calendar, so that a curve doesn't depend on the zone that its days are named in; a day alone, which stands at noon, is in
// one round with every time of its day. On the thermal clock plants of a warm and of a cold place make rounds of their own.
const roundLength = 0.5 + 1e-9

// means gathers the observations of a round, so that thirty plants counted on one round are one point of weight 30 and not
// thirty points that would make the fit look thirty times as sure. A plant that was counted twice in a round is in it with
// the later count.
func (s series) means() []mean {
	var out []mean
	for from := 0; from < len(s.obs); {
		to := from + 1
		for to < len(s.obs) && s.obs[to].x-s.obs[from].x <= roundLength {
			to++
		}
		out = append(out, s.round(from, to))
		from = to
	}
	return out
}

// round is the mean of the observations [from, to).
func (s series) round(from, to int) mean {
	m := mean{obs: make([]int, 0, to-from)}
	for i := from; i < to; i++ {
		m.obs = append(m.obs, i)
	}
	slices.SortFunc(m.obs, func(a, b int) int { // the later count of a plant first
		return cmp.Or(cmp.Compare(s.obs[a].plant, s.obs[b].plant), cmp.Compare(b, a))
	})
	m.obs = slices.CompactFunc(m.obs, func(a, b int) bool { return s.obs[a].plant == s.obs[b].plant })
	for _, i := range m.obs {
		m.x += s.obs[i].x
		m.value += s.obs[i].reached
		m.weight += s.share(s.obs[i].plant)
	}
	m.x /= float64(len(m.obs))
	m.value /= m.weight
	first := s.obs[from]
	since := time.Duration(0)
	for _, i := range m.obs {
		since += s.obs[i].at.Sub(first.at)
	}
	m.at = first.at.Add(since / time.Duration(len(m.obs)))
	return m
}

// fruits is the number of fruit that are known to have reached the stage: the highest exact value of each plant, added up.
func (s series) fruits() int {
	highest := make([]float64, s.plants)
	for _, o := range s.obs {
		highest[o.plant] = max(highest[o.plant], o.reached)
	}
	total := 0.0
	for _, h := range highest {
		total += h
	}
	return int(total)
}
