package forecast

import (
	"math"
	"slices"
	"time"

	"vinetally/analytics/countdist"
	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// PickOptions are what the user says about picking.
type PickOptions struct {
	// Weekdays on which picking is possible; all if empty.
	Weekdays []time.Weekday
	// Tolerated is the share of the ripe fruit that may hang past its hold time before it is picked; 0 is DefaultTolerated.
	Tolerated float64
	// Location is the zone that days are counted in; nil is UTC.
	Location *time.Location
	// Blocked is, for plants that were treated, the first day on which they may be picked again.
	Blocked map[crop.ID]crop.Date
}

// DefaultTolerated is the share that may hang past its hold time if nothing is said (a judgement).
const DefaultTolerated = 0.05

// PlanDays is how far ahead picking is planned.
const PlanDays = 14

// Plan is on which days to pick.
type Plan struct {
	Picks     []Pick
	Tolerated float64
	// PastRipe is how much of the fruit picked by the plan is expected to have hung past its hold time, as a share.
	PastRipe float64
	Days     int
	Warnings []string
}

// Pick is one day of a plan.
type Pick struct {
	On     crop.Date
	Fruits Range
	Grams  *Range // nil where the fruit of some cultivar was never weighed
	// Plants are those on which at least half a fruit is expected, in the order of the trial.
	Plants []string
	// LaterCost is how many more fruit are expected to pass their hold time if this picking is a day late.
	LaterCost float64
}

// Range is an expected number with the central interval.
type Range struct{ Mean, Low, High float64 }

// wait is the ripe fruit of one plant by day: what hangs now by how long it has hung, and what is expected to join.
type wait struct {
	o     *ripening.Outlook
	hold  float64
	now   []float64 // by days hung
	joins []float64 // by day ahead, the first at index 1
}

// plan chooses days one after another: each as late as the weekdays and the tolerated loss allow. At a picking all ripe fruit is taken from plants that
// may be picked.
func plan(m *ripening.Model, outlooks []*ripening.Outlook, o Options) Plan {
	p := Plan{Tolerated: o.Pick.Tolerated, Days: min(PlanDays, o.Days)}
	if p.Tolerated <= 0 {
		p.Tolerated = DefaultTolerated
	}
	if len(outlooks) == 0 {
		return p
	}
	waits := make([]wait, len(outlooks))
	for i, x := range outlooks {
		waits[i] = wait{o: x, hold: o.hold(x.Plant), now: x.RipeAges, joins: joins(x, p.Days)}
	}
	s := scheduler{waits: waits, o: o, days: p.Days, first: crop.DateOf(m.AsOf.In(zone(o))), picked: make([]int, len(waits))}
	for i := range s.picked {
		s.picked[i] = -1
	}
	s.unavoidable = s.lateAnyway()
	all, past := 0.0, 0.0
	for day := s.next(-1, all, past, p.Tolerated); day >= 0; day = s.next(day, all, past, p.Tolerated) {
		pick, fruit, late := s.pick(day, o)
		if fruit >= fewestToPick {
			p.Picks = append(p.Picks, pick)
		}
		all, past = all+fruit, past+late
	}
	if all > 0 {
		p.PastRipe = past / all
	}
	for _, x := range outlooks {
		if until, ok := o.Pick.Blocked[x.Plant.ID]; ok && until.After(s.first) {
			p.Warnings = append(p.Warnings, x.Plant.Label+" was treated: it isn't to be picked before "+until.Words()+", and the plan leaves it out until then.")
		}
	}
	return p
}

// fewestToPick is how much fruit makes a picking worth listing.
const fewestToPick = 0.5

func zone(o Options) *time.Location {
	if o.Pick.Location == nil {
		return time.UTC
	}
	return o.Pick.Location
}

// joins is the fruit expected to become ripe on each day ahead.
func joins(x *ripening.Outlook, days int) []float64 {
	by := make([]float64, days+1)
	for _, w := range x.Weathers {
		for d := 1; d <= days; d++ {
			before := 0.0
			if d > 1 {
				before = w.Mean[d-2]
			}
			by[d] += w.Weight * math.Max(0, w.Mean[d-1]-before)
		}
	}
	return by
}

type scheduler struct {
	waits  []wait
	o      Options
	days   int
	first  crop.Date
	picked []int // by plant, the day of its last picking; −1 for none
	// unavoidable is the fruit that is past its hold time on the first possible day already: once it is picked, no picking more can make up
	// for it.
	unavoidable float64
}

func (s *scheduler) lateAnyway() float64 {
	for day := range s.days + 1 {
		if s.allowed(day) {
			_, late := s.waiting(day)
			return late
		}
	}
	return 0
}

func (s *scheduler) allowed(day int) bool {
	if len(s.o.Pick.Weekdays) == 0 {
		return true
	}
	return slices.Contains(s.o.Pick.Weekdays, s.first.AddDays(day).Noon(time.UTC).Weekday())
}

func (s *scheduler) blocked(i, day int) bool {
	until, ok := s.o.Pick.Blocked[s.waits[i].o.Plant.ID]
	return ok && s.first.AddDays(day).Before(until)
}

// next is the latest possible day after one at which no more than the tolerated share is past its hold time (after the first picking, but for
// what couldn't be helped), or else the next possible day; −1 if there is none.
func (s *scheduler) next(after int, all, past, tolerated float64) int {
	best := -1
	for day := after + 1; day <= s.days; day++ {
		if !s.allowed(day) {
			continue
		}
		fruit, late := s.waiting(day)
		if after >= 0 {
			late -= s.unavoidable
		}
		if best >= 0 && past+late > tolerated*(all+fruit) {
			break
		}
		best = day
	}
	return best
}

// waiting is the ripe fruit that may be picked on a day, and how much of it is past its hold time.
func (s *scheduler) waiting(day int) (fruit, late float64) {
	for i := range s.waits {
		if !s.blocked(i, day) {
			a, b := s.of(i, day)
			fruit, late = fruit+a, late+b
		}
	}
	return fruit, late
}

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

// pick takes all ripe fruit on a day.
func (s *scheduler) pick(day int, o Options) (p Pick, fruit, late float64) {
	p.On = s.first.AddDays(day)
	var some []*ripening.Outlook
	mean, variance, later := 0.0, 0.0, 0.0
	after := s.days
	weighed := true
	grams, gramsVariance, gramsSE := 0.0, 0.0, 0.0
	for i := range s.waits {
		if s.blocked(i, day) {
			continue
		}
		n, l := s.of(i, day)
		w := &s.waits[i]
		v := n // as many independent arrivals
		if s.picked[i] < 0 {
			last := w.o.Standing[len(w.o.Standing)-1]
			v = n - math.Max(0, last.Mean) + last.Variance
		}
		v = math.Max(v, 0)
		mean, variance, fruit, late = mean+n, variance+v, fruit+n, late+l
		if n >= 0.5 {
			p.Plants = append(p.Plants, w.o.Plant.Label)
		}
		if day < s.days {
			_, tomorrow := s.of(i, day+1)
			later += math.Max(0, tomorrow-l)
		} else {
			later += 0
		}
		after = min(after, s.picked[i])
		some = append(some, w.o)
		mass, ok := o.FruitG[w.o.Plant.Cultivar.ID]
		weighed = weighed && (ok || n < 0.05)
		grams += n * mass.MeanG
		gramsVariance += v * mass.MeanG * mass.MeanG
		gramsSE += n * mass.StandardError
		s.picked[i] = day
	}
	if day > 0 && len(some) > 0 {
		shared := ripening.Between(some, max(after, 0), day)
		variance += shared
		if mean > 0 {
			gramsVariance += shared * (grams / mean) * (grams / mean)
		}
	}
	d := countdist.Matched(math.Max(mean, leastMean), variance)
	p.Fruits = Range{mean, float64(d.Quantile((1 - Level) / 2)), float64(d.Quantile((1 + Level) / 2))}
	if weighed && mean > 0 {
		const z = 1.6449 // of Level
		half := z * math.Sqrt(gramsVariance+gramsSE*gramsSE)
		p.Grams = &Range{grams, math.Max(0, grams-half), grams + half}
	}
	p.LaterCost = later
	return p, fruit, late
}
