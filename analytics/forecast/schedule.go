package forecast

import (
	"math"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// wait is the ripe fruit of one plant by day: what hangs now by how long it has hung, and what is expected to join.
type wait struct {
	o     *ripening.Outlook
	hold  float64
	now   []float64 // by days hung
	joins []float64 // by day ahead, the first at index 1
	// unavoidable is the fruit that is past its hold time on the first day on which the plant may be picked: no picking sooner can make up for it.
	unavoidable float64
	first       int     // that day, −1 if there is none
	most        float64 // fruit that hang ripe and are to come, by the upper ends of their intervals
}

// scheduler finds the days of a plan. It looks a week beyond the plan's days, so that no picking is put on the last of them that can wait.
type scheduler struct {
	waits  []wait
	o      Options
	days   int
	end    int // the last day looked at
	first  crop.Date
	over   bool  // nobody picks on the first any more
	picked []int // by plant, the day of its last picking; −1 for none
	// taken is the fruit of the pickings so far, takenLate how much of it is past its hold time and needn't be.
	taken, takenLate float64
}

// beyond is how many days behind the plan's the next possible day of picking is looked for: every weekday is among them.
const beyond = 7

// lastHour is how long before midnight nobody goes picking any more; a report of a day speaks of its end.
const lastHour = time.Hour

func newScheduler(outlooks []*ripening.Outlook, o Options, days int, now time.Time) *scheduler {
	first := crop.DateOf(now)
	s := &scheduler{
		waits: make([]wait, len(outlooks)), o: o, days: days, end: days + beyond, first: first, over: crop.DateOf(now.Add(lastHour)) != first, picked: make([]int, len(outlooks)),
	}
	if s.ends() {
		s.end = o.LastDay.DaysSince(first)
	}
	for i, x := range outlooks {
		s.waits[i] = wait{o: x, hold: o.hold(x.Plant), now: x.RipeAges, joins: joins(x, days+beyond+1), first: -1}
		s.picked[i] = -1
		for day := 0; day <= s.end && s.waits[i].first < 0; day++ {
			if s.allowed(day) && !s.blocked(i, day) {
				s.waits[i].first = day
				_, s.waits[i].unavoidable = s.of(i, day)
			}
		}
	}
	return s
}

// ends tells that the season does within the plan's days: there is no picking after its last day, so what is ripe by then is to be picked by then.
func (s *scheduler) ends() bool {
	last := s.o.LastDay
	return last != nil && !last.Before(s.first) && !last.After(s.first.AddDays(s.days))
}

// joins is the fruit expected to become ripe on each day ahead, MostDays of them at most.
func joins(x *ripening.Outlook, days int) []float64 {
	by := make([]float64, days+1)
	for d := 1; d <= days; d++ {
		for _, w := range x.Weathers {
			before := 0.0
			if d > 1 {
				before = w.Mean[d-2]
			}
			by[d] += w.Weight * math.Max(0, w.Mean[d-1]-before)
		}
	}
	return by
}

func (s *scheduler) allowed(day int) bool {
	if day == 0 && s.over {
		return false
	}
	if len(s.o.Pick.Weekdays) == 0 {
		return true
	}
	return slices.Contains(s.o.Pick.Weekdays, s.first.AddDays(day).Noon(time.UTC).Weekday())
}

// noneAllowed tells that the user picks on none of so many days ahead.
func (s *scheduler) noneAllowed(days int) bool {
	for day := range days + 1 {
		if s.allowed(day) {
			return false
		}
	}
	return true
}

func (s *scheduler) blocked(i, day int) bool {
	until, ok := s.o.Pick.Blocked[s.waits[i].o.Plant.ID]
	return ok && s.first.AddDays(day).Before(until)
}

// allBlocked tells that on none of the plan's days any plant may be picked.
func (s *scheduler) allBlocked() bool {
	for i := range s.waits {
		if !s.blocked(i, min(s.days, s.end)) {
			return false
		}
	}
	return true
}

// fewestShared is how much fruit the tolerated share is taken of at least, so that a part of a fruit makes nobody walk.
const fewestShared = 10

// next is the latest possible day after one at which no more than the tolerated share would be past its hold time though it needn't be, or else the
// next possible day with fruit to pick; −1 if that lies behind the plan's days or there is none.
func (s *scheduler) next(after int, tolerated float64) int {
	best := -1
	for day := after + 1; day <= s.end; day++ {
		if !s.allowed(day) {
			continue
		}
		w := s.waiting(day)
		if w.fruit < fewestToPick {
			continue
		}
		if best >= 0 && s.takenLate+w.urgent > tolerated*max(s.taken+w.fruit, fewestShared) {
			break
		}
		best = day
	}
	if best > s.days {
		return -1
	}
	return best
}

// waiting is the ripe fruit that may be picked on a day. Avoidable is how much of it is past its hold time though it needn't be, and
// urgent the same with what couldn't be helped where the plant might have been picked on an earlier day.
type waiting struct{ fruit, avoidable, urgent float64 }

func (s *scheduler) waiting(day int) (sum waiting) {
	for i := range s.waits {
		if s.blocked(i, day) {
			continue
		}
		fruit, late := s.of(i, day)
		w := &s.waits[i]
		unavoidable := 0.0
		if s.picked[i] < 0 {
			unavoidable = min(w.unavoidable, late)
		}
		sum.fruit += fruit
		sum.avoidable += late - unavoidable
		if day > w.first {
			unavoidable = 0
		}
		sum.urgent += late - unavoidable
	}
	return sum
}

// of is the ripe fruit of a plant on a day, and how much of it is past its hold time.
func (s *scheduler) of(i, day int) (fruit, late float64) {
	w := &s.waits[i]
	if s.picked[i] < 0 {
		for age, n := range w.now {
			fruit += n
			if float64(age+day) >= w.hold {
				late += n
			}
		}
	}
	for d := max(1, s.picked[i]+1); d <= day; d++ {
		fruit += w.joins[d]
		if float64(day-d) >= w.hold {
			late += w.joins[d]
		}
	}
	return math.Max(0, fruit), math.Max(0, late)
}
