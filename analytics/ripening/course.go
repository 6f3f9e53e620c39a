package ripening

// Course is how the fruit of some plants that has set becomes ripe on them: R of it by a day and N in the end.
type Course struct {
	// Later is the expected R by the end of each of the next 112 days, the weather staying as it is forecast to be at the end of the forecast.
	Later []float64
	// Ripening is N. Its variance is given the parameters: how much there is the counts tell, and with what the parameters add the intervals of simulated trials
	// held two in a hundred more, while after a year without a count it is nonsense.
	Ripening Number
	// Unseen is the part of N that has set since the plants' last counts.
	Unseen Number
	run    stretch
	unseen stretch   // of the same ends
	spread []float64 // relative standard deviation of what the clocks count up to the end of each day, over the plants by their fruit to come
	shared []*sharedCourse
}

// sharedCourse are the derivatives of some plants' R at the end of each step with respect to the parameters of their cultivar.
type sharedCourse struct {
	fit *fit
	by  [][]float64
}

// stretch is R at the ends of steps of the time to come, the last of which is the end of it all.
type stretch struct {
	ends   []float64 // days
	chance []float64 // Σ m π over cohorts of m fruit with a chance of π each to be ripe by then
	left   forms     // of π'(P − diag m)π
	effect forms     // of the plants' effects: their derivatives in standard deviations
}

// forms are a quadratic form of what belongs to the ends of steps: of each with itself, with the one before (from nothing) and with the last.
type forms struct{ own, before, last []float64 }

func newForms(steps int) forms {
	return forms{make([]float64, steps), make([]float64, steps), make([]float64, steps)}
}

func (f *forms) add(g *forms) {
	for k := range f.own {
		f.own[k] += g.own[k]
		f.before[k] += g.before[k]
		f.last[k] += g.last[k]
	}
}

// at is the form of x − share·last, where x lies a part of the way from the end of the step before step k to its own.
func (f *forms) at(k int, part, share float64) float64 {
	end := len(f.own) - 1
	x := part*part*f.own[k] + 2*part*(1-part)*f.before[k]
	last := part * f.last[k]
	if k > 0 {
		x += (1 - part) * (1 - part) * f.own[k-1]
		last += (1 - part) * f.last[k-1]
	}
	return x - 2*share*last + share*share*f.own[end]
}

func newStretch(ends []float64) stretch {
	return stretch{ends, make([]float64, len(ends)), newForms(len(ends)), newForms(len(ends))}
}

func (r *stretch) add(o *stretch) {
	for k, n := range o.chance {
		r.chance[k] += n
	}
	r.left.add(&o.left)
	r.effect.add(&o.effect)
}

// stretch is that of a state whose cohorts have the chances π to be ripe by the end of each step.
func (s *state) stretch(pi [][]float64, ends []float64) stretch {
	steps := len(ends)
	r := newStretch(ends)
	final := s.withCovariance(pi, steps-1)
	for k := range steps {
		own := final
		if k < steps-1 {
			own = s.withCovariance(pi, k)
		}
		for i := range pi {
			p := pi[i][k]
			r.chance[k] += max(s.cohorts[i].mean, 0) * p
			r.left.own[k] += p * own[i]
			r.left.last[k] += p * final[i]
			if k > 0 {
				r.left.before[k] += pi[i][k-1] * own[i]
			}
		}
	}
	return r
}

// unseen is that of the fruit that has set since some days ago, where nothing was looked at. The chances of other cohorts are put to nothing.
func (s *state) unseen(pi [][]float64, ends []float64, since float64) stretch {
	none := make([]float64, len(ends))
	some := false
	for i := range s.cohorts {
		if x := &s.cohorts[i]; x.stage > 0 || x.begun < s.days-since-1e-9 {
			pi[i] = none
		} else {
			some = some || x.mean > 0
		}
	}
	if !some {
		return newStretch(ends)
	}
	return s.stretch(pi, ends)
}

// withCovariance is (P − diag m)π at the end of a step.
func (s *state) withCovariance(pi [][]float64, step int) []float64 {
	v := make([]float64, len(pi))
	for i := range v {
		if pi[i][step] == 0 && pi[i][len(pi[i])-1] == 0 {
			continue // it is asked for where a cohort has a chance
		}
		for j, p := range s.row(i) {
			v[i] += p * pi[j][step]
		}
		v[i] -= max(s.cohorts[i].mean, 0) * pi[i][step]
	}
	return v
}

// step is the step in which a day ends, and how far into it.
func (r *stretch) step(day float64) (k int, part float64) {
	before := 0.0
	for k, end := range r.ends {
		if day <= end {
			return k, (day - before) / (end - before)
		}
		before = end
	}
	return len(r.ends) - 1, 1
}

// CourseOf is that of some plants together, nil of none. Given the parameters the plants' fruit are independent.
func CourseOf(outlooks []*Outlook) *Course {
	if len(outlooks) == 0 {
		return nil
	}
	ends := outlooks[0].run.ends
	steps := len(ends)
	c := &Course{
		Later: make([]float64, len(outlooks[0].Later)), spread: make([]float64, len(outlooks[0].spread)),
		run: newStretch(ends), unseen: newStretch(ends),
	}
	of := map[*fit]*sharedCourse{}
	for _, o := range outlooks {
		c.Ripening.Mean += o.Ripening
		for d, n := range o.Later {
			c.Later[d] += n
		}
		for d, sd := range o.spread {
			c.spread[d] += sd * o.Ripening
		}
		c.run.add(&o.run)
		c.unseen.add(&o.unseen)
		f := o.Plant.Cultivar.fit
		if of[f] == nil {
			of[f] = &sharedCourse{f, make([][]float64, steps)}
			for k := range steps {
				of[f].by[k] = make([]float64, f.layout.size())
			}
			c.shared = append(c.shared, of[f])
		}
		for k, g := range o.shared {
			for j, x := range g {
				of[f].by[k][j] += x
			}
		}
	}
	for d := range c.spread {
		if c.Ripening.Mean > 0 {
			c.spread[d] /= c.Ripening.Mean
		}
	}
	c.Ripening.Variance = c.run.variance(steps-1, 1, 0)
	c.Unseen = Number{c.unseen.chance[steps-1], c.unseen.variance(steps-1, 1, 0)}
	return c
}

// Variance is that of R − share·N on a day: given the parameters, with E R and E N the expected numbers of the chances π,
//
//	(1 − 2 share) E R + share² E N + x'(P − diag m)x, x = π(day) − share·π(end),
//
// and what the parameters add to it.
func (c *Course) Variance(day, share float64) (chance, unsure float64) {
	k, part := c.run.step(day)
	chance, unsure = c.run.variance(k, part, share), max(0, c.run.effect.at(k, part, share))
	for _, s := range c.shared {
		end := s.by[len(s.by)-1]
		g := make([]float64, len(end))
		for j := range g {
			before := 0.0
			if k > 0 {
				before = s.by[k-1][j]
			}
			g[j] = before + part*(s.by[k][j]-before) - share*end[j]
		}
		unsure += s.fit.quadratic(g)
	}
	return chance, unsure
}

// Left is N − R on a day, what is still unripe then and becomes ripe later: the part of it that had been looked at, and what is Unseen. Their variances are
// those of Variance given the parameters, in proportion to the number by the days of Later, which are finer than the steps.
func (c *Course) Left(day float64) (seen, unseen Number) {
	k, part := c.run.step(day)
	left := func(r *stretch) Number {
		return Number{max(0, r.chance[len(r.chance)-1]-r.between(k, part)), r.variance(k, part, 1)}
	}
	all, unseen := left(&c.run), left(&c.unseen)
	finer := 1.0
	if all.Mean > 0 {
		finer = max(0, c.Ripening.Mean-c.By(day)) / all.Mean
	}
	seen = Number{max(0, all.Mean-unseen.Mean), max(0, all.Variance-unseen.Variance)}
	return seen.times(finer), unseen.times(finer)
}

func (n Number) times(x float64) Number { return Number{n.Mean * x, n.Variance * x} }

// between is Σ m π a part of the way through a step.
func (r *stretch) between(k int, part float64) float64 {
	before := 0.0
	if k > 0 {
		before = r.chance[k-1]
	}
	return before + part*(r.chance[k]-before)
}

// variance is that of R − share·N a part of the way through a step, given the parameters.
func (r *stretch) variance(k int, part, share float64) float64 {
	return max(0, (1-2*share)*r.between(k, part)+share*share*r.chance[len(r.chance)-1]+r.left.at(k, part, share))
}

// Weather is the relative standard deviation of what the clocks count up to a day. Places are taken to be warmer or cooler than expected together.
func (c *Course) Weather(day float64) float64 {
	return c.spread[max(0, min(int(day), len(c.spread)-1))]
}

// Day is on which day a share of N is expected to be ripe: 0 if that is later than 112 days ahead or nothing is to come.
func (c *Course) Day(share float64) float64 { return dayOf(c.Later, share*c.Ripening.Mean) }

// By is what is expected to be ripe by a moment some days ahead.
func (c *Course) By(day float64) float64 {
	d := int(day)
	switch {
	case d == 0:
		return day * c.Later[0]
	case d < len(c.Later):
		return c.Later[d-1] + (day-float64(d))*(c.Later[d]-c.Later[d-1])
	}
	return c.Later[len(c.Later)-1]
}

// DaysBetween is how many days lie between those on which two shares of N are expected to be ripe, the later one in 112 days at most.
func (c *Course) DaysBetween(share, later float64) float64 {
	end := c.Day(later)
	if end == 0 {
		end = float64(len(c.Later))
	}
	return end - c.Day(share)
}

// dayOf is the day on which a number that grows by the end of each day reaches n, 0 if it doesn't.
func dayOf(by []float64, n float64) float64 {
	before := 0.0
	for d, x := range by {
		if x >= n && n > 0 {
			return float64(d) + (n-before)/(x-before)
		}
		before = x
	}
	return 0
}
