package ripening

import "math"

// waver adds what a surprising count leaves open. With chance w.scale the count is right and what was believed is wrong, or else the other way
// round: the two are apart by the gain, or where nothing was believed to hang, of which a gain can't make anything, by what was seen. The mixture's
// variance has scale·(1−scale) times the square of that on top, so that the next count that says the same is believed.
func (o *observer) waver(s *state, k *count, w *weighed) {
	if w.scale == 1 {
		return
	}
	apart := math.Sqrt((1 - w.scale) / w.scale)
	o.byStage = sized(o.byStage, len(s.cohorts))
	for i := range s.cohorts {
		for a := range w.numbers {
			o.byStage[i] += apart * w.gain[i*w.numbers+a] * o.e[a]
		}
	}
	for a := range k.seen {
		if x := &k.seen[a]; x.stage >= 0 {
			o.unforeseen(s, x, math.Sqrt(w.scale*(1-w.scale))*o.e[a]/x.share)
		}
	}
	s.spread(o.byStage)
}

// open spreads what was guessed before a first count towards what it saw beyond that, for a count tells more than a guess. With by² = 1/most − 1/d² along the
// innovation its squared length d² falls to about most (Sherman and Morrison), and but for most/d² of the innovation the count is believed.
func (o *observer) open(s *state, k *count, by float64) {
	o.byStage = sized(o.byStage, len(s.cohorts))
	for a := range k.seen {
		if x := &k.seen[a]; x.stage >= 0 {
			o.unforeseen(s, x, by*o.e[a]/x.share)
		}
	}
	s.spread(o.byStage)
}

// unforeseen raises o.byStage in the cohorts of a stage to a number in all, in shares as they hold fruit, a hundredth of one at least.
func (o *observer) unforeseen(s *state, x *seen, fruits float64) {
	const least = 0.01
	all := 0.0
	for i := range s.cohorts {
		if s.cohorts[i].stage == x.stage {
			fruits -= o.byStage[i]
			all += math.Max(s.cohorts[i].mean, 0) + least
		}
	}
	if fruits <= 0 {
		return
	}
	for i := range s.cohorts {
		if s.cohorts[i].stage == x.stage {
			o.byStage[i] += fruits * (math.Max(s.cohorts[i].mean, 0) + least) / all
		}
	}
}
