package ripening

import (
	"math"
	"slices"
)

// ahead is the time to come, in steps: what the clocks count in each. Numbers are told by the end of every perDay-th step.
type ahead struct {
	perDay int // steps in 24 hours, where all are equally long; else 1
	steps  []advance
}

// ends are the ends of the steps, days.
func (a *ahead) ends() []float64 {
	ends := make([]float64, len(a.steps))
	at := 0.0
	for k := range a.steps {
		at += a.steps[k].days
		ends[k] = at
	}
	return ends
}

// colourStep is the grid of the time from first colour to ripe, standard days.
const colourStep = 0.25

// ripeWithin tabulates, for fruit that just entered stage st, the chance to be ripe within so many standard days of colouring. Where hardly any fruit takes as
// long the table ends.
func (c *chain) ripeWithin(longest float64) [][]float64 {
	all := 0.0
	for st := 1; st < c.unripe; st++ {
		all += c.mean[st] * c.survival[st].ends()
	}
	longest = math.Min(longest, all)
	n := int(longest/colourStep) + 3
	q := make([][]float64, c.unripe+1)
	q[c.unripe] = make([]float64, n)
	for i := range q[c.unripe] {
		q[c.unripe][i] = 1
	}
	middle := make([]float64, n-1)
	for st := c.unripe - 1; st >= 1; st-- {
		q[st] = make([]float64, n)
		for i := range middle {
			middle[i] = (q[st+1][i] + q[st+1][i+1]) / 2
		}
		before := 1.0
		for u := 1; u < n && before > allLeft; u++ { // left the stage within (u−1, u] steps
			after := c.lasts(st, float64(u)*colourStep)
			leaves := before - after
			before = after
			for i, later := range middle[:n-u] {
				q[st][u+i] += leaves * later
			}
		}
	}
	return q
}

func interpolated(q []float64, x float64) float64 {
	if x <= 0 {
		return q[0]
	}
	at := x / colourStep
	i := int(at)
	if i >= len(q)-1 {
		return q[len(q)-1]
	}
	return q[i] + (at-float64(i))*(q[i+1]-q[i])
}

// outlet is where fruit that leaves a stage in each step to come ends up.
type outlet struct {
	chain           *chain
	perDay, days    int
	grown, coloured []float64   // what the clocks have counted by the beginning of each step
	within          [][]float64 // ripeWithin
	spared          [][]float64 // by stage and step
	leaves          []float64
}

// like is the outlet of another plant's chain for the same time to come, with what doesn't differ kept.
func (o *outlet) like(c *chain, to *ahead) *outlet {
	b := o.chain
	if !slices.Equal(c.mean[1:], b.mean[1:]) || !slices.Equal(c.survival[1:], b.survival[1:]) || !slices.Equal(c.taken, b.taken) || c.colouring != b.colouring {
		return c.outlet(to)
	}
	same := *o
	same.chain = c
	if c.growing != b.growing {
		same.grown = make([]float64, len(o.grown))
		for k, a := range to.steps {
			same.grown[k+1] = same.grown[k] + a.grown(c)
		}
	}
	return &same
}

func (c *chain) outlet(to *ahead) *outlet {
	steps := len(to.steps)
	o := &outlet{chain: c, perDay: to.perDay, days: steps / to.perDay, spared: make([][]float64, c.unripe)}
	room := make([]float64, (3+c.unripe)*steps+2)
	cut := func(n int) (part []float64) { part, room = room[:n:n], room[n:]; return part }
	o.grown, o.coloured, o.leaves = cut(steps+1), cut(steps+1), cut(steps)
	for k, a := range to.steps {
		o.grown[k+1] = o.grown[k] + a.grown(c)
		o.coloured[k+1] = o.coloured[k] + a.coloured(c)
	}
	o.within = c.ripeWithin(o.coloured[steps] + 1)
	for st := range o.spared {
		o.spared[st] = cut(steps)
		c.spared(st, to, o.coloured, o.spared[st])
	}
	return o
}

// leaving is the chance that a fruit of an unripe cohort leaves its stage in each step; it holds until the next call.
func (o *outlet) leaving(x *cohort) []float64 {
	clock := o.coloured
	if x.stage == 0 {
		clock = o.grown
	}
	x.leaving(o.chain, clock, o.leaves)
	return o.leaves
}

// ripe adds up how much of the fruit that leaves a stage in each step is ripe by the end of each day.
func (o *outlet) ripe(stage int, leaves, by []float64) {
	spared, within := o.spared[stage], o.within[stage+1]
	for d := range o.days {
		last := (d + 1) * o.perDay
		for k, n := range leaves[:last] {
			if n != 0 {
				by[d] += n * spared[k] * interpolated(within, o.coloured[last]-(o.coloured[k]+o.coloured[k+1])/2)
			}
		}
	}
}

// chances is, for every cohort of a state and every day to come, the chance that a fruit of it has become ripe on the plant by then; 0 for
// ripe fruit.
func (s *state) chances(o *outlet) [][]float64 {
	c := o.chain
	all, room := make([][]float64, len(s.cohorts)), make([]float64, len(s.cohorts)*o.days)
	for i := range s.cohorts {
		x := &s.cohorts[i]
		all[i] = room[i*o.days : (i+1)*o.days : (i+1)*o.days]
		if x.stage < c.unripe {
			o.ripe(x.stage, o.leaving(x), all[i])
		}
	}
	return all
}

// expectedRipe is how many fruit are expected to become ripe by the end of each day to come: the same chances, a stage's fruit together.
func (s *state) expectedRipe(o *outlet) []float64 {
	c := o.chain
	leaves, by := make([][]float64, c.unripe), make([]float64, o.days)
	for st := range leaves {
		leaves[st] = make([]float64, len(o.leaves))
	}
	for i := range s.cohorts {
		x := &s.cohorts[i]
		if x.stage == c.unripe || x.mean == 0 {
			continue
		}
		sum := leaves[x.stage]
		for k, p := range o.leaving(x) {
			sum[k] += x.mean * p
		}
	}
	for st := range leaves {
		o.ripe(st, leaves[st], by)
	}
	return by
}

// leaving is the chance that a fruit of a cohort leaves its stage in each step; the clock counts from now to the end of each.
func (x *cohort) leaving(c *chain, clock, leaves []float64) {
	clear(leaves)
	for n := range x.nodes {
		nd := &x.node[n]
		before := nd.survival
		if before < longPast {
			leaves[0] += nd.weight
			continue
		}
		w := nd.weight / before
		for k := range leaves {
			if w*before < allLeft {
				break
			}
			after := min(before, c.lasts(x.stage, nd.age+clock[k+1]))
			leaves[k] += w * (before - after)
			before = after
		}
	}
}

// allLeft is the share of a cohort that is too small to follow.
const allLeft = 1e-12

// spared is the chance that a fruit that leaves stage st in each step is neither picked nor goes by itself before it is ripe: hazards are by the day, the time in
// later stages is gamma distributed and goes on as fast as on the day.
func (c *chain) spared(st int, to *ahead, coloured, chance []float64) {
	if c.taken == nil {
		for k := range chance {
			chance[k] = 1
		}
		return
	}
	still, later := 1.0, 1.0
	for k := range chance {
		days := to.steps[k].days
		if k%to.perDay == 0 {
			later = c.sparedLater(st, math.Max((coloured[k+to.perDay]-coloured[k])/(days*float64(to.perDay)), 0.2))
		}
		half := math.Exp(-c.taken[st] * days / 2) // to the middle of the step
		chance[k] = later * still * half
		still *= half * half
	}
}

// sparedLater is the chance to be left in the unripe stages after st, which go by at a speed.
func (c *chain) sparedLater(st int, speed float64) float64 {
	const cv2 = 0.09 // of the time in a stage, about
	log := 0.0
	for u := st + 1; u < c.unripe; u++ {
		log += math.Log1p(c.taken[u] * c.mean[u] / speed * cv2)
	}
	return math.Exp(-log / cv2)
}

// coming is how many fruit become ripe by the end of each day to come: expected, and the variance of the number given the parameters.
type coming struct{ mean, variance []float64 }

func (s *state) coming(c *chain, to *ahead) coming {
	return s.withChances(s.chances(c.outlet(to)), len(to.steps)/to.perDay)
}

// ripeByStep is how many fruit are expected to be ripe by the end of each of some steps, by the cohorts' chances.
func (s *state) ripeByStep(pi [][]float64, steps int) []float64 {
	ripe := make([]float64, steps)
	for i := range s.cohorts {
		for k, p := range pi[i] {
			ripe[k] += s.cohorts[i].mean * p
		}
	}
	return ripe
}

// form is a'Pa.
func (s *state) form(a []float64) float64 {
	v := 0.0
	for i := range a {
		if a[i] == 0 {
			continue
		}
		sum := 0.0
		for j, p := range s.row(i) {
			sum += p * a[j]
		}
		v += a[i] * sum
	}
	return v
}

// withChances is that of some days for which the cohorts' chances are known.
func (s *state) withChances(pi [][]float64, days int) coming {
	r := coming{make([]float64, days), make([]float64, days)}
	share := make([]float64, len(s.cohorts))
	for d := range days {
		for i := range s.cohorts {
			share[i] = pi[i][d]
			r.mean[d] += s.cohorts[i].mean * share[i]
		}
		r.variance[d] = s.variance(share)
	}
	return r
}

// variance is that of how many fruit do what each fruit of cohort i does with chance share_i: π'Pπ + Σ m π (1 − π).
func (s *state) variance(share []float64) float64 {
	v := s.form(share)
	for i, a := range share {
		v += math.Max(s.cohorts[i].mean, 0) * a * (1 - a)
	}
	return math.Max(v, 0)
}
