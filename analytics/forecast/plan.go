package forecast

import (
	"math"
	"slices"
	"time"

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

// Plan is on which days picking has to be done: fruit that can wait until after its Days isn't in it.
type Plan struct {
	Picks     []Pick
	Tolerated float64
	// PastRipe is how much of the fruit picked by the plan will have hung past its hold time, as a share; the interval as of a number past ripe.
	PastRipe Range
	Days     int
	// Waits tells that ripe fruit hangs at the end of these days which may be picked later without more than the tolerated share being late.
	Waits bool
	// SeasonEnds is the season's last day if it is among these days: nothing is picked after it. Left tells that ripe fruit then hangs for which no possible
	// day is left.
	SeasonEnds *crop.Date
	Left       bool
	// Unbelieved tells that nothing is planned although the last count of a plant saw ripe fruit of which nothing was taken since.
	Unbelieved bool
	Warnings   []string

	blocked bool // no plant may be picked within the days
	noDay   bool // none of the days is one on which the user picks
}

// Pick is one day of a plan.
type Pick struct {
	On     crop.Date
	Fruits Range
	Grams  *Range // nil where the fruit of some cultivar was never weighed
	// Plants are those on which at least half a fruit is expected, in the order of the trial.
	Plants []string
	// LaterCost is how many more fruit pass their hold time if this picking is a day late.
	LaterCost Range
}

// Range is an expected number with the central interval.
type Range struct{ Mean, Low, High float64 }

// plan chooses days one after another: each as late as the weekdays and the tolerated loss allow. At a picking all ripe fruit is taken from plants that
// may be picked.
func plan(m *ripening.Model, outlooks []*ripening.Outlook, plants []Plant, o Options) Plan {
	p := Plan{Tolerated: o.Pick.Tolerated, Days: min(PlanDays, o.Days)}
	if p.Tolerated <= 0 {
		p.Tolerated = DefaultTolerated
	}
	if len(outlooks) == 0 {
		return p
	}
	s := newScheduler(outlooks, o, p.Days, m.AsOf.In(zone(o)))
	for i := range plants {
		s.waits[i].most = plants[i].RipeNow.High + float64(plants[i].ToCome.High)
	}
	all, late := 0.0, 0.0
	for day := s.next(-1, p.Tolerated); day >= 0; day = s.next(day, p.Tolerated) {
		pick, l := s.pick(day, o)
		p.Picks = append(p.Picks, pick)
		all, late = all+pick.Fruits.Mean, late+l
	}
	if all > 0 {
		p.PastRipe = lateShare(late, all)
	}
	p.Waits, p.blocked = s.waiting(p.Days).fruit >= fewestToPick, s.allBlocked()
	p.noDay = len(p.Picks) == 0 && s.noneAllowed(p.Days)
	if s.ends() {
		p.Waits, p.SeasonEnds, p.Left = false, o.LastDay, s.waiting(s.end).fruit >= fewestToPick
		p.Warnings = append(p.Warnings, p.EndWords())
	}
	p.Unbelieved = len(p.Picks) == 0 && !p.Waits && !p.Left && !p.blocked && !p.noDay && slices.ContainsFunc(outlooks, func(x *ripening.Outlook) bool { return seenRipe(x.Plant) })
	for _, x := range outlooks {
		if until, ok := o.Pick.Blocked[x.Plant.ID]; ok && until.After(s.first) {
			p.Warnings = append(p.Warnings, x.Plant.Label+" was treated: it isn't to be picked before "+until.Words()+", and the plan leaves it out until then.")
		}
	}
	return p
}

// seenRipe tells that the last count of a plant saw ripe fruit, and that nothing was taken since.
func seenRipe(p *ripening.Plant) bool {
	n := len(p.Book.Visits)
	for _, r := range p.Book.Removals {
		if r.Interval >= n {
			return false
		}
	}
	return slices.ContainsFunc(p.Book.Visits[n-1].Standing[p.Book.Ripe:], func(fruits *int) bool { return fruits != nil && *fruits > 0 })
}

// lateShare is the share of fruit picked that is late: each is by itself, and how many are expected to be is known as far as ripening.HangSpread says.
func lateShare(late, all float64) Range {
	spread := ripening.HangSpread * late
	n := rangeOf(late, fruits(late, late*math.Max(0, 1-late/all)+spread*spread))
	return Range{late / all, math.Min(1, n.Low/all), math.Min(1, n.High/all)}
}

// fewestToPick is how much fruit makes a picking worth its while.
const fewestToPick = 0.5

func zone(o Options) *time.Location {
	if o.Pick.Location == nil {
		return time.UTC
	}
	return o.Pick.Location
}

// pick takes all ripe fruit on a day; late is how much of it is past its hold time.
func (s *scheduler) pick(day int, o Options) (p Pick, late float64) {
	p.On = s.first.AddDays(day)
	now := s.waiting(day)
	s.taken, s.takenLate = s.taken+now.fruit, s.takenLate+now.avoidable
	p.LaterCost = s.laterCost(day)
	var some []*ripening.Outlook
	var all ripening.Number // that hangs ripe or is to come
	mean, variance, most := 0.0, 0.0, 0.0
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
			all.Mean, all.Variance = all.Mean+math.Max(0, last.Mean), all.Variance+last.Variance
		}
		ever := w.o.Ever()
		all.Mean, all.Variance = all.Mean+ever.Mean, all.Variance+ever.Variance
		v = math.Max(v, 0)
		mean, variance, late, most = mean+n, variance+v, late+l, most+w.most
		if n >= 0.5 {
			p.Plants = append(p.Plants, w.o.Plant.Label)
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
	fruit := all.Part(math.Max(mean, leastMean), variance)
	p.Fruits = rangeOf(mean, fruits(fruit.Mean, fruit.Variance))
	p.Fruits.High = min(p.Fruits.High, max(most, math.Ceil(mean)))
	if weighed && mean > 0 {
		const z = 1.6449 // of Level
		half := z * math.Sqrt(gramsVariance+gramsSE*gramsSE)
		p.Grams = &Range{grams, math.Max(0, grams-half), grams + half}
	}
	return p, late
}
