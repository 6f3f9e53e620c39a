package ripening

import "math"

const maxParts = 8 // into which a stretch of time is divided

// mover carries a state forward in time. Its slices are kept between calls.
type mover struct {
	onward [maxStages][maxParts][maxStages + 1]float64 // where fruit end up that enter a stage in a part
	enters [maxStages + 1][maxParts]float64            // expected numbers
	stay   []float64
	to     [][maxStages + 1]float64 // by cohort, the chance to end up in each later stage
	cross  [maxStages + 1][]float64
}

// maxStages is the most stages of a scale.
const maxStages = 24

// parts tells into how many parts a stretch is divided, so that none is long beside the shortest stage. It goes by the
// clocks as published, so that it doesn't depend on the parameters.
func parts(a advance) int {
	return min(max(1, int(math.Ceil(a.colouring/1.7))), maxParts)
}

// move lets a stretch of time go by: fruit stay or go on, and newSet fruit set in it, with a variance.
func (m *mover) move(s *state, c *chain, a advance, set, setVariance float64, withCov bool) {
	grown, coloured := a.grown(c), a.coloured(c)
	L := parts(a)
	step := coloured / float64(L)
	ripe := c.unripe
	m.ends(c, L, step, a.days/float64(L))
	n := len(s.cohorts)
	m.room(n)
	for st := 1; st <= ripe; st++ {
		clear(m.enters[st][:L])
	}
	for i := range s.cohorts {
		m.leave(&s.cohorts[i], c, i, L, grown, coloured, a.days, withCov)
	}
	begun, ended := s.days, s.days+a.days
	s.days, s.grown = ended, s.grown+grown
	fresh := m.covariance(s, c, n, withCov)
	for i := range n {
		s.cohorts[i].mean *= m.stay[i]
	}
	for st := 1; st <= ripe; st++ {
		for part := range L { // what entered and went on within the stretch has entered the next stage too
			if st < ripe {
				m.passOn(c, st, part, L, step)
			}
		}
		x := &s.cohorts[fresh[st]]
		x.begun, x.ended = begun, ended
		x.profile(m, c, st, L, step, a.days/float64(L))
	}
	x := &s.cohorts[fresh[0]]
	x.mean, x.begun, x.ended = set, begun, ended
	x.sow(c, L, grown/float64(L))
	if withCov {
		s.row(fresh[0])[fresh[0]] += setVariance
	}
}

// longPast is a survival below which fruit is taken to have gone on.
const longPast = 1e-9

func (m *mover) room(n int) {
	for len(m.stay) < n {
		m.stay = append(m.stay, 0)
		m.to = append(m.to, [maxStages + 1]float64{})
	}
}

// ends works out, for fruit that enter stage st in the middle of a part, where they are at the end of the stretch.
func (m *mover) ends(c *chain, L int, step, days float64) {
	ripe := c.unripe
	for part := range L {
		left := float64(L) - float64(part) - 0.5
		clear(m.onward[ripe][part][:ripe+1])
		m.onward[ripe][part][ripe] = c.lasting(0, left*days)
	}
	for st := ripe - 1; st >= 1; st-- {
		for part := range L {
			to := &m.onward[st][part]
			clear(to[:ripe+1])
			before, at := 1.0, 0.5
			for later := part; later < L; later++ {
				after := c.lasts(st, at*step)
				for d := st + 1; d <= ripe; d++ {
					to[d] += (before - after) * m.onward[st+1][later][d]
				}
				before = after
				at++
			}
			to[st] = before
		}
	}
}

// lasting is the chance that ripe fruit of an age doesn't go unwritten within some days. Fruit falls with a hazard that grows as age to
// the power 1.5: it holds at first and then lets go (common practice; a Weibull time of shape 2.5). Of what falls a share is found at the
// next visit and written down, and stays among the fruit until then; while nobody has looked since, what has fallen is gone either way.
func (c *chain) lasting(age, days float64) float64 {
	all := c.loss + c.found
	fallen := -math.Expm1(-all * Falling(age, age+days))
	if c.open || all <= 0 {
		return 1 - fallen
	}
	return 1 - fallen*c.loss/all
}

func power25(x float64) float64 { return x * x * math.Sqrt(x) }

// leave works out where the fruit of one cohort go, and ages it; with their chances to end up in each stage, which the covariance takes.
func (m *mover) leave(x *cohort, c *chain, i, L int, grown, coloured, days float64, withCov bool) {
	ripe := c.unripe
	to := &m.to[i]
	if withCov {
		clear(to[:ripe+1])
	}
	if x.stage == ripe {
		total := 0.0
		for k := range x.nodes {
			nd := &x.node[k]
			nd.weight *= c.lasting(nd.age, days)
			nd.age += days
			total += nd.weight
		}
		x.share(total)
		m.stay[i] = total
		return
	}
	step := coloured / float64(L)
	if x.stage == 0 {
		step = grown / float64(L)
	}
	table := c.survival[x.stage]
	quiet := c.mean[x.stage] * table.begins
	grid := table.perUnit / c.mean[x.stage]
	var leaves [maxParts]float64
	total := 0.0
	for k := range x.nodes {
		nd := &x.node[k]
		end := nd.age + step*float64(L)
		if nd.survival == 1 && end <= quiet {
			nd.age = end
			total += nd.weight
			continue
		}
		before := nd.survival
		if before < longPast {
			leaves[0] += nd.weight
			nd.age, nd.weight = end, 0
			continue
		}
		w := nd.weight / before
		for part := range L {
			after := min(before, table.onGrid((nd.age+step*float64(part+1))*grid)) // of nodes that were joined before may be the less
			leaves[part] += w * (before - after)
			before = after
		}
		nd.age = end
		nd.survival = before
		nd.weight = w * before
		total += nd.weight
	}
	x.share(total)
	m.stay[i] = total
	for part := range L {
		q := leaves[part]
		if q == 0 {
			continue
		}
		m.enters[x.stage+1][part] += q * x.mean
		if !withCov {
			continue
		}
		for d := x.stage + 1; d <= ripe; d++ {
			to[d] += q * m.onward[x.stage+1][part][d]
		}
	}
}

// share makes weights shares again.
func (c *cohort) share(total float64) {
	if total <= 0 {
		return
	}
	for k := range c.nodes {
		c.node[k].weight /= total
	}
}

// passOn adds to the next stage's entries those that entered this stage in a part and left it within the stretch.
func (m *mover) passOn(c *chain, st, part, L int, step float64) {
	n := m.enters[st][part]
	if n == 0 {
		return
	}
	before, at := 1.0, 0.5
	for later := part; later < L; later++ {
		after := c.lasts(st, at*step)
		m.enters[st+1][later] += n * (before - after)
		before = after
		at++
	}
}

// profile makes a cohort of the fruit that entered a stage in the stretch and are still in it.
func (x *cohort) profile(m *mover, c *chain, st, L int, step, days float64) {
	x.nodes, x.mean = 0, 0
	for part := range L {
		left := float64(L) - float64(part) - 0.5
		nd := node{age: left * step}
		last := 1.0
		if st == c.unripe {
			nd.age = left * days
			last = m.onward[st][part][st]
		} else {
			nd.survival = c.lasts(st, nd.age)
			last = nd.survival
		}
		x.mean += m.enters[st][part] * last
		nd.weight = math.Abs(m.enters[st][part]) * last // more or less than none: see take
		x.node[x.nodes] = nd
		x.nodes++
	}
	x.level()
}

// sow makes a cohort of fruit that set evenly over the stretch.
func (x *cohort) sow(c *chain, L int, step float64) {
	x.nodes = 0
	for part := range L {
		age := (float64(L) - float64(part) - 0.5) * step
		x.node[x.nodes] = node{age: age, survival: c.lasts(0, age), weight: 1 / float64(L)}
		x.nodes++
	}
}

// level makes weights shares, even ones where there are none.
func (x *cohort) level() {
	total := 0.0
	for k := range x.nodes {
		total += x.node[k].weight
	}
	if total > 0 {
		x.share(total)
		return
	}
	for k := range x.nodes {
		x.node[k].weight = 1 / float64(x.nodes)
	}
}

// covariance adds the new cohorts and carries the covariance over. Each fruit of cohort i goes its own way with the chances
// q_i, so that numbers n with mean m and covariance P become F·n with covariance F·P·F' + Σ m_i (diag q_i − q_i q_i').
func (m *mover) covariance(s *state, c *chain, n int, withCov bool) (fresh [maxStages + 1]int) {
	ripe := c.unripe
	for st := 0; st <= ripe; st++ {
		fresh[st] = len(s.cohorts)
		s.add(st)
	}
	if !withCov {
		return fresh
	}
	for d := 1; d <= ripe; d++ {
		if len(m.cross[d]) < n {
			m.cross[d] = make([]float64, 2*n)
		}
		cross := m.cross[d][:n]
		clear(cross)
		for i := range n {
			q := m.to[i][d]
			if q == 0 {
				continue
			}
			row := s.cov[i*s.stride : i*s.stride+n]
			for j, p := range row {
				cross[j] += q * p
			}
		}
	}
	for d := 1; d <= ripe; d++ {
		for e := d; e <= ripe; e++ {
			sum := 0.0
			for i := range n {
				a, b := m.to[i][d], m.to[i][e]
				if b == 0 && a == 0 {
					continue
				}
				sum += b * m.cross[d][i]
				mean := max(s.cohorts[i].mean, 0)
				if d == e {
					sum += mean * a
				}
				sum -= mean * a * b
			}
			s.cov[fresh[d]*s.stride+fresh[e]] = sum
			s.cov[fresh[e]*s.stride+fresh[d]] = sum
		}
		for j := range n {
			v := m.stay[j] * (m.cross[d][j] - max(s.cohorts[j].mean, 0)*m.to[j][d])
			s.cov[fresh[d]*s.stride+j] = v
			s.cov[j*s.stride+fresh[d]] = v
		}
	}
	for i := range n {
		row := s.cov[i*s.stride : i*s.stride+n]
		stay := m.stay[i]
		for j := range row {
			row[j] *= stay * m.stay[j]
		}
		row[i] += max(s.cohorts[i].mean, 0) * stay * (1 - stay)
	}
	m.unwritten(s, c, n)
	return fresh
}

// unwritten adds what isn't known of the rate at which ripe fruit went unwritten: it may be as large again, or none, in a stretch, for all of
// a plant's ripe fruit alike.
func (m *mover) unwritten(s *state, c *chain, n int) {
	for i := range n {
		if s.cohorts[i].stage != c.unripe {
			continue
		}
		a := max(s.cohorts[i].mean, 0) * (1 - m.stay[i])
		row := s.cov[i*s.stride : i*s.stride+n]
		for j := range row {
			if s.cohorts[j].stage == c.unripe {
				row[j] += lossSpread * a * max(s.cohorts[j].mean, 0) * (1 - m.stay[j])
			}
		}
	}
}

// lossSpread is the squared coefficient of variation of that rate.
const lossSpread = 0.3

// Widths in days within which cohorts of a stage are kept together.
const firstWidth, colourWidth, ripeWidth = 4.2, 1.6, 1.6

// tidy merges young cohorts that together are narrow, which goes by the calendar alone so that every pass does the same.
func (s *state) tidy(ripe int, withCov bool) {
	width := func(stage int) float64 {
		switch stage {
		case 0:
			return firstWidth
		case ripe:
			return ripeWidth
		}
		return colourWidth
	}
	for stage := 0; stage <= ripe; stage++ {
		newest, before := -1, -1
		for i := len(s.cohorts) - 1; i >= 0 && before < 0; i-- {
			switch {
			case s.cohorts[i].stage != stage:
			case newest < 0:
				newest = i
			default:
				before = i
			}
		}
		if before >= 0 && s.cohorts[newest].ended-s.cohorts[before].begun <= width(stage) {
			s.merge(before, newest, withCov)
		}
	}
	var oldest [maxStages + 1]int // by stage, one more than the index of the first old cohort
	for i := 0; i < len(s.cohorts); i++ {
		switch x := &s.cohorts[i]; {
		case s.days-x.ended < old(x.stage, ripe):
		case oldest[x.stage] == 0:
			oldest[x.stage] = i + 1
		default:
			s.merge(oldest[x.stage]-1, i, withCov)
			i--
		}
	}
}

// old is from how many days after their last entry on cohorts of a stage are kept together.
func old(stage, ripe int) float64 {
	switch stage {
	case 0:
		return 90
	case ripe:
		return 30
	}
	return 25
}
