package ripening

import "math"

// remove takes fruit of one stage away. Which of its cohorts they came from isn't known: each fruit is as likely as another, or the
// older ones more where the removal says so. With chances q_i, numbers n of mean m and covariance P, the fruit taken
// are r with mean q∘m and covariance D·P·D + diag(q(1−q)m), D = diag(q); what is left, n − r, is conditioned on Σ r being the number that was written
// down. So a number of fruit known exactly stays so.
func (o *observer) remove(s *state, c *chain, x *removal, w *weighed) {
	n := len(s.cohorts)
	w.taken = sized(w.taken, n)
	left := x.fruits
	w.tooMany = false
	if !x.known {
		o.doubt(s, x)
		return
	}
	if w.tooMany = o.tooMany(s, x); w.tooMany {
		o.removeTooMany(s, c, x, w)
		return
	}
	// more than is thought to stand there came from the stages beside it
	order := []int{x.stage}
	for d := 1; d <= c.unripe; d++ {
		if x.stage-d >= 0 {
			order = append(order, x.stage-d)
		}
		if x.stage+d <= c.unripe {
			order = append(order, x.stage+d)
		}
	}
	ripeTaken := 0.0
	if x.picked && x.stage == c.unripe-1 && x.stage > 0 {
		// some of those called nearly ripe were ripe ones, of which far more are picked
		ripe, nearly := s.expected(c.unripe)*ripeConfused*c.confuse*pickedRipe, s.expected(x.stage)*pickedEarly
		if ripe > 0 && nearly > 0 {
			part := left * ripe / (ripe + nearly)
			ripeTaken = s.choose(c.unripe, math.Min(part, 0.9*s.expected(c.unripe)), false, w.taken)
			left -= ripeTaken
		}
	}
	for _, st := range order {
		if left <= 1e-9 {
			break
		}
		before := 0.0
		if st == c.unripe {
			before = ripeTaken
		}
		left -= s.choose(st, left+before, x.oldest, w.taken) - before
	}
	o.pd = sized(o.pd, n)
	v := 0.0
	for i := range n {
		if w.taken[i] == 0 {
			continue
		}
		row := s.row(i)
		for j := range row {
			o.pd[j] += row[j] * w.taken[i] // P·q
		}
	}
	for i := range n {
		q, m := w.taken[i], max(s.cohorts[i].mean, 0)
		v += q*o.pd[i] + q*(1-q)*m
	}
	w.gain = sized(w.gain, n)
	if v > 1e-9 {
		for i := range n {
			q, m := w.taken[i], max(s.cohorts[i].mean, 0)
			w.gain[i] = ((1-q)*o.pd[i] - q*(1-q)*m) / v
		}
	}
	for i := range n {
		row := s.row(i)
		qi := w.taken[i]
		for j := range row {
			row[j] = row[j]*(1-qi)*(1-w.taken[j]) - w.gain[i]*w.gain[j]*v
		}
		row[i] += qi * (1 - qi) * max(s.cohorts[i].mean, 0)
	}
	o.removeAgain(s, x, w)
}

// removeAgain is remove with the shares and gains of an earlier pass.
func (o *observer) removeAgain(s *state, x *removal, w *weighed) {
	if !x.known {
		return
	}
	surplus := x.fruits
	for i := range s.cohorts {
		surplus -= w.taken[i] * s.cohorts[i].mean
	}
	for i := range s.cohorts {
		s.cohorts[i].mean = s.cohorts[i].mean*(1-w.taken[i]) + w.gain[i]*surplus
	}
}

// Shares of what stands that a grower usually picks (judgements): nearly all that is ripe, and now and then one that nearly is.
const pickedRipe, pickedEarly = 0.9, 0.04

// choose gives the fruit of a stage chances to be among so many taken, and returns how many that makes.
func (s *state) choose(stage int, fruits float64, oldest bool, taken []float64) float64 {
	total, weighted := 0.0, 0.0
	weight := func(i int) float64 {
		if !oldest {
			return 1
		}
		age := s.cohorts[i].age()
		return age*math.Sqrt(age) + 0.5
	}
	for i := range s.cohorts {
		if m := s.cohorts[i].mean; s.cohorts[i].stage == stage && m > 0 {
			total += m
			weighted += m * weight(i)
		}
	}
	if total <= 1e-9 {
		return 0
	}
	if fruits >= total {
		for i := range s.cohorts {
			if s.cohorts[i].stage == stage && s.cohorts[i].mean > 0 {
				taken[i] = 1
			}
		}
		return total
	}
	// chances grow with weight up to one; those that reach it leave the rest to the others
	for i := range s.cohorts {
		if s.cohorts[i].stage == stage {
			taken[i] = 0
		}
	}
	for by, more := fruits/weighted, true; more; {
		more = false
		full, free := 0.0, 0.0
		for i := range s.cohorts {
			m := s.cohorts[i].mean
			if s.cohorts[i].stage != stage || m <= 0 {
				continue
			}
			if taken[i] < 1 {
				taken[i] = math.Min(1, by*weight(i))
				more = more || taken[i] == 1
			}
			if taken[i] == 1 {
				full += m
			} else {
				free += m * weight(i)
			}
		}
		if free > 0 {
			by = (fruits - full) / free
		}
	}
	return fruits
}

// age is the mean age of a cohort.
func (c *cohort) age() float64 {
	sum := 0.0
	for k := range c.nodes {
		sum += c.node[k].age * c.node[k].weight
	}
	return sum
}

// doubt widens what is believed of a stage from which an unknown number may have gone.
func (o *observer) doubt(s *state, x *removal) {
	for i := range s.cohorts {
		if s.cohorts[i].stage == x.stage {
			m := max(s.cohorts[i].mean, 0)
			s.row(i)[i] += 0.25*m*m + 0.25*m
		}
	}
}
