package ripening

import "math"

// within is 1 for the cohorts of a stage and of those beside it.
func (s *state) within(stage int) []float64 {
	share := make([]float64, len(s.cohorts))
	for i := range s.cohorts {
		if d := s.cohorts[i].stage - stage; -1 <= d && d <= 1 {
			share[i] = 1
		}
	}
	return share
}

// tooMany tells that more fruit were taken from a stage than can have hung there and in the stages beside it: as many standard deviations too
// many as make a count surprising, give or take a fruit. Before the first count nobody knows.
func (o *observer) tooMany(s *state, x *removal) bool {
	if x.early {
		return false
	}
	hung := s.within(x.stage)
	o.stood, o.stoodSD = math.Max(0, s.number(hung)), math.Sqrt(s.variance(hung)+1)
	o.distance = 0
	if x.fruits > o.stood {
		o.distance = (x.fruits - o.stood) / o.stoodSD * (x.fruits - o.stood) / o.stoodSD
	}
	return o.distance > surprising
}

// removeTooMany takes most of the stage's fruit if it is ripe, or else half, for want of a number: either the one taken is wrong or the counts before it
// are. The other stages keep what they are thought to have, and as many more as were taken too many may stand, in the shares in which fruit stood.
// The next count then weighs all the more.
func (o *observer) removeTooMany(s *state, c *chain, x *removal, w *weighed) {
	n := len(s.cohorts)
	share := 0.5
	if x.stage == c.unripe {
		share = pickedRipe
	}
	s.choose(x.stage, share*max(0, s.expected(x.stage)), x.oldest, w.taken)
	w.gain = sized(w.gain, n)
	o.pd = sized(o.pd, n)
	const least = 0.1 // of a fruit, so that no cohort is ruled out
	all := 0.0
	for i := range s.cohorts {
		o.pd[i] = math.Max(s.cohorts[i].mean, 0) + least
		all += o.pd[i]
	}
	for i := range n {
		o.pd[i] *= (x.fruits - o.stood) / all
		row := s.row(i)
		for j := range row {
			row[j] *= (1 - w.taken[i]) * (1 - w.taken[j])
		}
		row[i] += w.taken[i] * (1 - w.taken[i]) * math.Max(s.cohorts[i].mean, 0)
	}
	s.spread(o.pd)
	o.removeAgain(s, x, w)
}

// surpriseOf describes the last removal, which took too many.
func (o *observer) surpriseOf(x *removal) surprise {
	return surprise{visit: x.after, removal: x, distance: o.distance, stage: x.stage, seen: x.fruits, expected: o.stood, sd: o.stoodSD}
}
