package ripening

import (
	"math"
	"time"

	"vinetally/analytics/internal/parallel"
)

// Hanging is how ripe fruit hung on a season's plants.
type Hanging struct {
	// Exposure is Σ ∫ (age/10)^1.5 d age, in days, over all ripe fruit while it hung: a hazard of fruit of ten days' age times this
	// is the number expected to fall (see Falling).
	Exposure float64
	// Unwritten is the hazard a day at that age at which ripe fruit went without a record, by the cultivars' posterior, weighted by exposure;
	// its logarithm has the standard deviation UnwrittenSD.
	Unwritten, UnwrittenSD float64
	Gaps                   []Gap
}

// Gap is the time between two counts of a plant, or from the last to the end of what is followed: AsOf, or before that the plant's removal or the season's
// end.
type Gap struct {
	Plant    *Plant
	Zone     *time.Location // of the place where the plant stands at first
	From, To time.Time
	// Passed is the expected number of fruit that passed its hold time in it, hanging.
	Passed float64
}

// Falling is ∫ (age/10)^1.5 over ages from one to another, in days: the hazard of ripe fruit that falls grows so.
func Falling(from, to float64) float64 {
	const tenDays = 10
	return tenDays / 2.5 * (power25(to/tenDays) - power25(from/tenDays))
}

// Hanging goes through the season once more; hold is each plant's hold time in days.
func (m *Model) Hanging(hold func(*Plant) float64) Hanging {
	exposures := make([]float64, len(m.Plants))
	gaps := make([][]Gap, len(m.Plants))
	parallel.With(len(m.Plants), func() func(int) {
		pass, t := newPasser(), &tape{}
		return func(i int) {
			if p := m.Plants[i]; p.history != nil {
				exposures[i], gaps[i] = pass.hanging(p, hold(p), t)
				for k := range gaps[i] {
					gaps[i][k].Zone = m.Clocks.location(p.Records.Plant.PlaceID)
				}
			}
		}
	})
	var h Hanging
	for i, p := range m.Plants {
		if p.history == nil {
			continue
		}
		h.Exposure += exposures[i]
		h.Gaps = append(h.Gaps, gaps[i]...)
		l := p.Cultivar.fit.layout.loss()
		h.Unwritten += exposures[i] * math.Exp(p.Cultivar.fit.theta[l])
		h.UnwrittenSD += exposures[i] * p.Cultivar.fit.sd(l)
	}
	if h.Exposure > 0 {
		h.Unwritten /= h.Exposure
		h.UnwrittenSD /= h.Exposure
	}
	return h
}

// hanging is the exposure of a plant's ripe fruit and its gaps between counts.
func (p *passer) hanging(plant *Plant, hold float64, t *tape) (exposure float64, gaps []Gap) {
	events := plant.history.events
	c := plant.Cultivar.fit.chain(plant.index)
	passed, from, counted := 0.0, time.Time{}, false
	p.before = func(s *state, e *event) {
		for i := range s.cohorts {
			x := &s.cohorts[i]
			if x.stage != c.unripe || x.mean <= 0 {
				continue
			}
			for k := range x.nodes {
				youngest, oldest := s.hung(x, k)
				if pass := above(hold-e.since.days, youngest, oldest) - above(hold, youngest, oldest); pass > 0 {
					passed += pass * x.mean * x.node[k].weight * c.during(e).lasting(x.node[k].age, e.since.days)
				}
			}
		}
		if !counted {
			passed = 0 // before anybody looked nothing was missed
		}
		if e.count != nil || e == &events[len(events)-1] {
			if counted {
				gaps = append(gaps, Gap{Plant: plant, From: from, To: e.at, Passed: passed})
			}
			passed, from, counted = 0, e.at, counted || e.count != nil
		}
	}
	p.run(plant.history, &c, t)
	p.before = nil
	return t.exposed, gaps
}
