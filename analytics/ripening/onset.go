package ripening

import "math"

// onsets is how many stretches of the time before the first count are told apart in which fruit can have begun to set.
const onsets = 8

// greenAlone tells whether a count of all stages saw green fruit, and no other but for one now and then that is taken for the next stage.
func (c *count) greenAlone(unripe int) bool {
	counted, green := 0, 0.0
	for _, x := range c.seen {
		switch {
		case x.stage < 0:
			continue
		case x.least, x.stage == unripe && x.fruits > 0:
			return false
		case x.stage == 0:
			green = x.fruits
		}
		counted++
	}
	return counted > unripe && green > 0 && !c.coloured()
}

// onset lets it be anybody's guess since when fruit has set on a plant whose first count saw green fruit alone. Until then it was taken to have set
// evenly since the history's start, and fruit that didn't colour as soon as that let expect would have told of a longer time in green, where they
// were only younger. Setting began in any of the equal stretches since then, one as likely as another, and went on evenly. Cohorts get the mean over
// the stretches; between them is variance that they share. by is room for a number of each cohort, and is returned.
func (s *state) onset(by []float64, withCov bool) []float64 {
	if withCov {
		for i := range s.cohorts {
			ratio, row := s.cohorts[i].begunAnyTime(s.days), s.row(i)
			for j := range row {
				row[j] *= ratio
				s.cov[j*s.stride+i] *= ratio
			}
		}
		for k := range onsets {
			by = by[:0]
			for i := range s.cohorts {
				x := &s.cohorts[i]
				by = append(by, x.mean*(x.begunIn(k, s.days)-x.begunAnyTime(s.days))/math.Sqrt(onsets))
			}
			s.spread(by)
		}
	}
	for i := range s.cohorts {
		s.cohorts[i].mean *= s.cohorts[i].begunAnyTime(s.days)
	}
	return by
}

// begunIn is how much a cohort holds if fruit began to set in the middle of a stretch, relative to what it holds if fruit set evenly in all the days; the
// number in all is the same. Coloured fruit set in the first stretch.
func (x *cohort) begunIn(stretch int, days float64) float64 {
	since := days * (float64(stretch) + 0.5) / onsets
	begun, ended := x.begun, x.ended
	if x.stage > 0 {
		begun, ended = 0, days/onsets
	}
	if ended <= begun {
		return 1
	}
	return days / since * math.Max(0, ended-math.Max(begun, days-since)) / (ended - begun)
}

// begunAnyTime is the mean over the stretches.
func (x *cohort) begunAnyTime(days float64) float64 {
	sum := 0.0
	for k := range onsets {
		sum += x.begunIn(k, days)
	}
	return sum / onsets
}
