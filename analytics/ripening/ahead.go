package ripening

import (
	"math"
)

// ahead is the time to come, in steps of equal length: what the clocks count in each.
type ahead struct {
	perDay int // steps in 24 hours
	steps  []advance
}

// colourStep is the grid of the time from first colour to ripe, standard days.
const colourStep = 0.25

// ripeWithin tabulates, for fruit that just entered stage st, the chance to be ripe within so many standard days of colouring.
func (c *chain) ripeWithin(longest float64) [][]float64 {
	n := int(longest/colourStep) + 3
	q := make([][]float64, c.unripe+1)
	q[c.unripe] = make([]float64, n)
	for i := range q[c.unripe] {
		q[c.unripe][i] = 1
	}
	for st := c.unripe - 1; st >= 1; st-- {
		q[st] = make([]float64, n)
		before := 1.0
		for u := 1; u < n; u++ { // left the stage within (u−1, u] steps
			after := c.lasts(st, float64(u)*colourStep)
			leaves := before - after
			before = after
			for i := u; i < n; i++ {
				q[st][i] += leaves * (q[st+1][i-u] + q[st+1][i-u+1]) / 2
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

// chances is, for every cohort of a state and every day to come, the chance that a fruit of it has become ripe on the plant by then; 0 for
// ripe fruit.
func (s *state) chances(c *chain, to *ahead) [][]float64 {
	steps := len(to.steps)
	grown, coloured := make([]float64, steps+1), make([]float64, steps+1)
	for k, a := range to.steps {
		grown[k+1] = grown[k] + a.grown(c)
		coloured[k+1] = coloured[k] + a.coloured(c)
	}
	q := c.ripeWithin(coloured[steps] + 1)
	days := steps / to.perDay
	spared := make([][]float64, c.unripe)
	for st := range spared {
		spared[st] = c.spared(st, to, coloured)
	}
	all := make([][]float64, len(s.cohorts))
	leaves := make([]float64, steps)
	for i := range s.cohorts {
		x := &s.cohorts[i]
		all[i] = make([]float64, days)
		if x.stage == c.unripe {
			continue
		}
		clock := coloured
		if x.stage == 0 {
			clock = grown
		}
		x.leaving(c, clock, leaves)
		for d := range days {
			last := (d + 1) * to.perDay
			sum := 0.0
			for k := range last {
				if leaves[k] != 0 {
					sum += leaves[k] * spared[x.stage][k] * interpolated(q[x.stage+1], coloured[last]-(coloured[k]+coloured[k+1])/2)
				}
			}
			all[i][d] = sum
		}
	}
	return all
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
			after := c.lasts(x.stage, nd.age+clock[k+1])
			leaves[k] += w * (before - after)
			before = after
		}
	}
}

// spared is the chance that a fruit that leaves stage st in each step isn't picked before it is ripe: hazards are by the day, the time in
// later stages is gamma distributed and goes on as fast as in the step.
func (c *chain) spared(st int, to *ahead, coloured []float64) []float64 {
	chance := make([]float64, len(to.steps))
	for k := range chance {
		chance[k] = 1
		if c.early == nil {
			continue
		}
		speed := math.Max((coloured[k+1]-coloured[k])*float64(to.perDay), 0.2)
		for u := st + 1; u < c.unripe; u++ {
			const cv2 = 0.09 // of the time in a stage, about
			chance[k] *= math.Pow(1+c.early[u]*c.mean[u]/speed*cv2, -1/cv2)
		}
		chance[k] *= math.Exp(-c.early[st] * (float64(k) + 0.5) / float64(to.perDay))
	}
	return chance
}

// coming is how many fruit become ripe by the end of each day to come: expected, and the variance of the number given the parameters.
type coming struct{ mean, variance []float64 }

func (s *state) coming(c *chain, to *ahead, withCov bool) coming {
	pi := s.chances(c, to)
	days := len(to.steps) / to.perDay
	r := coming{make([]float64, days), make([]float64, days)}
	share := make([]float64, len(s.cohorts))
	for d := range days {
		for i := range s.cohorts {
			share[i] = pi[i][d]
			r.mean[d] += s.cohorts[i].mean * share[i]
		}
		if withCov {
			r.variance[d] = s.variance(share)
		}
	}
	return r
}

// variance is that of how many fruit do what each fruit of cohort i does with chance share_i: π'Pπ + Σ m π (1 − π).
func (s *state) variance(share []float64) float64 {
	v := 0.0
	for i, a := range share {
		if a == 0 {
			continue
		}
		v += math.Max(s.cohorts[i].mean, 0) * a * (1 - a)
		sum := 0.0
		for j, p := range s.row(i) {
			sum += p * share[j]
		}
		v += a * sum
	}
	return math.Max(v, 0)
}
