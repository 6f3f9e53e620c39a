package ripening

import "math"

// tape is a pass over a plant's history: what was believed and learned at each event.
type tape struct {
	steps    []weighed
	z        []float64 // whitened innovations of all counts, one after another
	evidence float64   // −2 log chance of the counts, but for a constant: see weighWhole
	// By unripe stage: how many fruit were picked, how many went by themselves, and how many fruit-days they stood.
	early, gone, stood []float64
	ripe               float64 // ripe fruit taken
	// Ripe fruit found fallen, and what all ripe fruit was exposed to while it hung (see Falling).
	fallen, exposed float64
	goneUnseen      float64 // ripe fruit that is expected to have gone since the last count
	surprises       []surprise
}

// passer runs passes; it holds what they share, so that little is allocated.
type passer struct {
	state *state
	mover mover
	obs   observer
	by    []float64 // a number of each cohort
	rest  rest
	// before, if it isn't nil, is called before each event, and before the time since the last one goes by.
	before func(s *state, e *event)
}

func newPasser() *passer { return &passer{state: newState()} }

const (
	leastRate   = 0.15
	rateMemory  = 14.0 // days over which the past rate of setting is averaged
	setSlowing  = 0.75 // of the past rate sets on average (judged on simulated plants, of which half set by the end of a pause)
	setClusters = 8.0  // fruit set truss by truss
	setSurge    = 0.5  // fruit a day, squared
)

// run goes through a history and records it on t.
func (p *passer) run(h *History, c *chain, t *tape) {
	s := p.state
	s.reset()
	for len(t.steps) < len(h.events) {
		t.steps = append(t.steps, weighed{})
	}
	t.z, t.evidence = t.z[:0], 0
	t.early, t.gone, t.stood, t.ripe = sized(t.early, c.unripe), sized(t.gone, c.unripe), sized(t.stood, c.unripe), 0
	t.fallen, t.exposed, t.goneUnseen = 0, 0, 0
	t.surprises = t.surprises[:0]
	for i := range h.events {
		e, w := &h.events[i], &t.steps[i]
		if p.before != nil {
			p.before(s, e)
		}
		if e.since.days > 0 {
			exposed := s.exposure(c, e.since.days)
			t.exposed += exposed
			if e.open {
				t.goneUnseen += (c.loss + c.found) * exposed
			}
			set, variance := s.setting(e.since.days, h, i)
			p.mover.move(s, c.during(e), e.since, set, variance, true)
			for j := range s.cohorts {
				if x := &s.cohorts[j]; i > h.first && x.stage < c.unripe && x.mean > 0 { // before the first record nobody wrote what went
					t.stood[x.stage] += x.mean * e.since.days
				}
			}
			s.tidy(c.unripe, true)
			w.buried = s.bury(c.unripe, w.buried[:0])
		}
		switch {
		case e.removal != nil:
			p.obs.remove(s, c, e.removal, w)
			if w.tooMany {
				t.surprises = append(t.surprises, p.obs.surpriseOf(e.removal))
			}
			if r := e.removal; r.known && r.picked && r.stage < c.unripe {
				t.early[r.stage] += r.fruits
			} else if r.known && r.gone && r.stage < c.unripe {
				t.gone[r.stage] += r.fruits
			} else if r.picked {
				t.ripe += r.fruits
			} else if r.oldest {
				t.fallen += r.fruits
			}
		case e.counted():
			if i == h.first {
				p.by = s.onset(e.count, c, p.by, true)
			}
			p.obs.observe(s, c, e.count, w)
			t.evidence += p.obs.evidence
			p.none(e.count)
			t.z = append(t.z, p.obs.z...)
			if p.obs.distance > mostBelieved(w.numbers) && !e.count.first {
				t.surprises = append(t.surprises, p.obs.surprise(e.count))
			}
		}
	}
}

// replay goes through a history with other parameters and the gains of a tape, and appends the whitened innovations to z.
func (p *passer) replay(h *History, c *chain, t *tape, z []float64) []float64 {
	p.state.reset()
	for i := range h.events {
		p.lapse(h, c, t, i)
		z = p.recall(h, c, t, i, nothing, z)
	}
	return z
}

// nothing is no number of a count.
const nothing = -1

// lapse lets the time before an event go by once more.
func (p *passer) lapse(h *History, c *chain, t *tape, i int) {
	s, e := p.state, &h.events[i]
	if e.since.days <= 0 {
		return
	}
	set, _ := s.setting(e.since.days, h, i)
	p.mover.move(s, c.during(e), e.since, set, 0, false)
	s.tidy(c.unripe, false)
	s.buryAgain(t.steps[i].buried)
}

// recall learns from an event once more, as if one number of it had been a fruit more.
func (p *passer) recall(h *History, c *chain, t *tape, i, more int, z []float64) []float64 {
	s, e, w := p.state, &h.events[i], &t.steps[i]
	switch {
	case e.removal != nil:
		p.obs.removeAgain(s, e.removal, w)
	case e.counted():
		if i == h.first {
			p.by = s.onset(e.count, c, p.by, false)
		}
		p.obs.again(s, c, e.count, w, more)
		p.none(e.count)
		z = append(z, p.obs.z...)
	}
	return z
}

func (p *passer) none(k *count) {
	if !p.obs.plain {
		p.state.none(k)
	}
}

// during is the chain for the time before an event.
func (c *chain) during(e *event) *chain {
	if !e.open {
		return c
	}
	open := *c
	open.open = true
	return &open
}

// exposure is what ripe fruit is exposed to in some days, while it hangs.
func (s *state) exposure(c *chain, days float64) float64 {
	sum, all := 0.0, c.loss+c.found
	for i := range s.cohorts {
		x := &s.cohorts[i]
		if x.stage != c.unripe || x.mean <= 0 {
			continue
		}
		for k := range x.nodes {
			sum += x.mean * x.node[k].weight * -math.Expm1(-all*Falling(x.node[k].age, x.node[k].age+days)) / all
		}
	}
	return sum
}

// setting is how many fruit are expected to set in some days, and the variance: three quarters as many as lately, give or take all that would be and trusses at a time.
func (s *state) setting(days float64, h *History, event int) (set, variance float64) {
	rate, slowing := h.startRate, 1.0
	if event >= h.first {
		sum, from := 0.0, s.days-rateMemory
		for i := range s.cohorts {
			x := &s.cohorts[i]
			if x.stage == 0 && x.ended > from {
				part := 1.0
				if x.begun < from {
					part = (x.ended - from) / (x.ended - x.begun)
				}
				sum += x.mean * part
			}
		}
		rate = math.Min(math.Max(sum/rateMemory, leastRate), h.mostRate)
		slowing = setSlowing
	}
	set = rate * days
	return slowing * set, setClusters*set + set*set + setSurge*days*days
}

// surprise describes the last count, by the number furthest from what was expected.
func (o *observer) surprise(k *count) surprise {
	x := surprise{visit: k.visit, distance: o.distance, numbers: len(k.seen)}
	furthest := -1.0
	for a := range k.seen {
		seen, expected, sd := o.number(k, a)
		if d := math.Abs(seen-expected) / sd; d > furthest {
			furthest = d
			x.stage, x.seen, x.expected, x.sd = k.seen[a].stage, seen, expected, sd
		}
	}
	return x
}

// number is one of the last count, what was expected of it and its standard deviation.
func (o *observer) number(k *count, a int) (seen, expected, sd float64) {
	return k.seen[a].fruits, k.seen[a].fruits - o.e[a], math.Sqrt(o.s[a*len(k.seen)+a])
}
