package ripening

import "math"

// Course is how the fruit of some plants that has set becomes ripe on them: R of it by a day and N in the end.
type Course struct {
	// Later is the expected R by the end of each of the next 112 days, the weather staying as it is forecast to be at the end of the forecast.
	Later []float64
	// Ripening is N. Of what the parameters add to its variance (how many green fruit leaves hide, above all) no more is taken than a standard deviation of leastKnown of
	// it: after a year without a count, while a count tells how much there is, what they add is nonsense.
	Ripening Number
	// Seen and Unseen are the parts of N that had set by the plants' last counts and since.
	Seen, Unseen Number
	plants       []*Outlook
	effect       forms // of the plants' effects
	ends         []float64
	unseen       unseen
	spread       []float64 // relative standard deviation of what the clocks count up to the end of each day, over the plants by their fruit to come
	shared       []*sharedCourse
}

// sharedCourse are the derivatives of some plants' R at the end of each step with respect to the parameters of their cultivar.
type sharedCourse struct {
	fit *fit
	by  [][]float64
}

// CourseOf is that of some plants together, nil of none. Given the parameters the plants' fruit are independent, but for what set unseen (see unseen).
func CourseOf(outlooks []*Outlook) *Course {
	if len(outlooks) == 0 {
		return nil
	}
	ends := outlooks[0].run.ends
	steps := len(ends)
	c := &Course{
		Later: make([]float64, len(outlooks[0].Later)), spread: make([]float64, len(outlooks[0].spread)),
		plants: outlooks, effect: newForms(steps), ends: ends, unseen: unseen{by: make([]float64, steps)},
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
		c.effect.add(&o.run.effect)
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
	chance, unsure := c.Variance(ends[steps-1], 0)
	c.Ripening.Variance = chance + min(unsure, leastKnown*c.Ripening.Mean*leastKnown*c.Ripening.Mean) + c.unripeLosses()
	c.Unseen = Number{c.unseen.number(), c.unseen.believed}
	c.Seen = Number{c.Ripening.Mean - c.Unseen.Mean, max(0, c.Ripening.Variance-c.unseen.filtered)}
	return c
}

// unripeLosses is the variance of N because it isn't known how much will be picked or go before it is ripe: that rests on as much as was, relative variance
// 1/(1 + that much), and needn't go on (a judgement: a standard deviation of a third).
func (c *Course) unripeLosses() float64 {
	const goOn = 1.0 / 3
	sum := 0.0
	for _, s := range c.shared {
		lost := 0.0
		for _, o := range c.plants {
			if o.Plant.Cultivar.fit == s.fit {
				lost += o.unripe() - o.Ripening
			}
		}
		lost = max(0, lost)
		sum += lost * lost * (1/(1+s.fit.lost) + goOn*goOn)
	}
	return sum
}

// unripe is how much fruit is expected to stand that isn't ripe.
func (o *Outlook) unripe() float64 {
	sum := 0.0
	for st := range len(o.Standing) - 1 {
		sum += math.Max(0, o.Standing[st].Mean)
	}
	return sum
}

// leastKnown is the share of how much fruit there is that the parameters leave open at most, one standard deviation.
const leastKnown = 0.1

// Variance is that of R − share·N on a day: given the parameters, with E R and E N the expected numbers of the chances π,
//
//	(1 − 2 share) E R + share² E N + x'(P − diag m)x, x = π(day) − share·π(end),
//
// of each plant, but no more than where all or none of its fruit are ripe, (E N² + var N)(F (1 − share)² + (1 − F) share²) − (F − share)² E N² with
// F = E R/E N; and what the parameters add to it.
func (c *Course) Variance(day, share float64) (chance, unsure float64) {
	k, part := stepOf(c.ends, day)
	unsure = max(0, c.effect.at(k, part, share))
	for _, o := range c.plants {
		chance += min(o.run.variance(k, part, share), o.allOrNone(o.run.between(k, part), share))
	}
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

// allOrNone is the variance of R − share·N of a plant of which all fruit is ripe or none is, where so much is expected to be.
func (o *Outlook) allOrNone(ripe, share float64) float64 {
	n := o.Ever()
	if n.Mean <= 0 {
		return 0
	}
	f := min(1, ripe/n.Mean)
	return (n.Mean*n.Mean+n.Variance)*(f*(1-share)*(1-share)+(1-f)*share*share) - n.Mean*n.Mean*(f-share)*(f-share)
}

// Ever is how many of a plant's fruit that has set become ripe on it, given the parameters.
func (o *Outlook) Ever() Number {
	end := len(o.run.chance) - 1
	return Number{o.run.chance[end], o.run.variance(end, 1, 0)}
}

// Left is N − R on a day, what is still unripe then and becomes ripe later, of Seen and of Unseen. The variance of the one is that of Variance given the
// parameters, in proportion to the number by the days of Later, which are finer than the steps; that of the other such as if each of its fruit were left
// with the same chance.
func (c *Course) Left(day float64) (seen, unseen Number) {
	k, part := stepOf(c.ends, day)
	all, share, finer := 0.0, 0.0, 1.0
	for _, o := range c.plants {
		left := o.seenLeft(k, part)
		seen.Mean, seen.Variance = seen.Mean+left.Mean, seen.Variance+left.Variance
		all += o.Ever().Mean - o.run.between(k, part)
	}
	if all > 0 {
		finer = max(0, c.Ripening.Mean-c.By(day)) / all
	}
	if n := c.unseen.number(); n > 0 {
		share = max(0, n-between(c.unseen.by, k, part)) / n
	}
	return seen.times(finer), c.unseen.left(share*finer, c.unseen.believed)
}

// seenLeft is N − R, a part of the way through a step, of what a plant had at the last count.
func (o *Outlook) seenLeft(k int, part float64) Number {
	ever, u := o.Ever(), &o.unseen
	n, share := u.number(), 0.0
	if n > 0 {
		share = max(0, n-between(u.by, k, part)) / n
	}
	other := u.left(share, u.filtered)
	had := Number{max(0, ever.Mean-n), max(0, ever.Variance-u.filtered)}
	return had.Part(max(0, ever.Mean-o.run.between(k, part)-other.Mean), max(0, o.run.variance(k, part, 1)-other.Variance))
}

// Part is a part of a number of fruit, of a mean and a variance; but the variance is no more than can be. Of n fruit expected, whose number has the
// variance v, m vary most where all or none of them are in it: by m(n − m) + vm/n. The filter's variance is beyond that where it knows of few fruit
// how many there are and not how old they are: it lets one age have more than all, and another less than none.
func (n Number) Part(mean, variance float64) Number {
	all := max(mean, n.Mean)
	if all <= 0 {
		return Number{}
	}
	return Number{mean, min(variance, mean*(all-mean)+n.Variance*mean/all)}
}

func (n Number) times(x float64) Number { return Number{n.Mean * x, n.Variance * x} }

// Weather is the relative standard deviation of what the clocks count up to a day. Places are taken to be warmer or cooler than expected together.
func (c *Course) Weather(day float64) float64 {
	return c.spread[max(0, min(int(math.Ceil(day)), len(c.spread))-1)]
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
