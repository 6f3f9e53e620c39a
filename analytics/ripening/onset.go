package ripening

import "math"

// onsets is how many stretches of the time before the first count are told apart in which fruit can have begun to set.
const onsets = 32

// furthest is the furthest stage of which a first count saw fruit, if it counted all stages; ok is false where it didn't, or where that is the ripe one
// or there was none: how long fruit has set is then left as it was thought.
func (k *count) furthest(unripe int) (stage int, ok bool) {
	const mistaken = 0.025 // of green fruit, twice what is called the next stage by mistake, a hundredth
	counted, green, next := 0, 0.0, 0.0
	stage = -1
	for _, x := range k.seen {
		if x.stage < 0 {
			continue
		}
		if x.least || x.share < 1 {
			return 0, false
		}
		switch x.stage {
		case 0:
			green = x.fruits
		case 1:
			next = x.fruits
		}
		if counted++; x.fruits > 0 {
			stage = max(stage, x.stage)
		}
	}
	if stage == 1 && next <= mistaken*green {
		stage = 0
	}
	return stage, counted > unripe && stage >= 0 && stage < unripe
}

// onset lets it be anybody's guess since when fruit has set on a plant whose first count saw none ripe. Until then it was taken to have set
// evenly since the history's start, and fruit that didn't colour as soon as that let expect would have told of a longer time in green, where they
// were only younger. Setting began in any of the equal stretches since then and went on evenly, and a stretch is as likely as what follows from it for
// the furthest stage that was seen: some fruit there, by mistake or not, and none beyond (a negative binomial number, as fruit sets by the truss).
// Cohorts get the mean over the stretches; between them is variance that they share. What the count says of the time in green by this is left out: plants
// that were first counted on a day began alike. by is room for a number of each cohort, and is returned.
func (s *state) onset(k *count, c *chain, by []float64, withCov bool) []float64 {
	furthest, ok := k.furthest(c.unripe)
	if !ok || s.days <= 0 || s.grown <= 0 {
		return by
	}
	n := len(s.cohorts)
	by = sized(by, (onsets+1)*n)
	held, mean := by[:onsets*n], by[onsets*n:]
	var chance [onsets]float64
	all := 0.0
	for j := range onsets {
		at := held[j*n : j*n+n]
		for i := range s.cohorts {
			at[i] = s.begunIn(&s.cohorts[i], c, s.days*(float64(j)+0.5)/onsets)
		}
		chance[j] = s.reaches(furthest, c, at)
		all += chance[j]
	}
	if all <= 0 {
		return by
	}
	for j := range onsets {
		chance[j] /= all
		for i := range mean {
			mean[i] += chance[j] * held[j*n+i]
		}
	}
	if withCov {
		for i := range n {
			row := s.row(i)
			for j := range row {
				both := mean[i] * mean[j]
				if s.cohorts[i].stage > 0 && s.cohorts[j].stage > 0 {
					both = 0
					for k := range onsets {
						both += chance[k] * held[k*n+i] * held[k*n+j]
					}
				}
				row[j] *= both
			}
		}
		for j := range onsets {
			at := held[j*n : j*n+n]
			for i := range at {
				at[i] = math.Sqrt(chance[j]) * s.cohorts[i].mean * (at[i] - mean[i])
			}
			s.spread(at)
		}
	}
	for i := range s.cohorts {
		s.cohorts[i].mean *= mean[i]
	}
	return by
}

// reaches is the chance that fruit are seen in a stage and none beyond, where each cohort holds so much of its expected number.
func (s *state) reaches(furthest int, c *chain, held []float64) float64 {
	there, beyond := 0.0, 0.0
	for i := range s.cohorts {
		x := &s.cohorts[i]
		for stage := max(1, furthest); stage <= c.unripe; stage++ {
			seen := c.sees(&seen{stage: stage, share: 1}, x.stage) * math.Max(0, x.mean) * held[i]
			if stage == furthest {
				there += seen
			} else {
				beyond += seen
			}
		}
	}
	none := math.Log1p(setClusters) / setClusters // exp(-none·μ) is the chance of none of μ fruit, of variance (1+setClusters)·μ
	if furthest == 0 {
		return math.Exp(-none * beyond)
	}
	return -math.Expm1(-none*there) * math.Exp(-none*beyond)
}

// begunIn is how much a cohort holds if fruit began to set so many days ago, relative to what it holds if fruit set evenly in all the days; the
// number in all is the same. Coloured fruit set as much earlier as the stages before take on average, give or take a tenth.
func (s *state) begunIn(x *cohort, c *chain, since float64) float64 {
	const giveOrTake = 0.1
	before := 0.0
	for _, mean := range c.mean[:x.stage] {
		before += mean * s.days / s.grown
	}
	begun, ended := x.begun-(1+giveOrTake)*before, x.ended-(1-giveOrTake)*before
	if ended <= begun {
		return 1
	}
	return s.days / since * math.Max(0, ended-math.Max(begun, s.days-since)) / (ended - begun)
}
