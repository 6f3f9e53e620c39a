package ripening

import (
	"cmp"
	"math"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// event is something that happened to a plant's fruit, or that was seen of them, and the time since the event before.
type event struct {
	at      time.Time
	since   advance
	removal *removal // nil if it isn't one
	count   *count
	// open tells that nobody has looked since, so that fruit may lie fallen that will still be found and written down.
	open bool
}

// counted tells that it is a count that says something.
func (e *event) counted() bool { return e.count != nil && len(e.count.seen) > 0 }

// removal is fruit taken from a stage.
type removal struct {
	stage  int // positions of the model: stages beyond ripe are ripe
	fruits float64
	// known is false where any number may have gone, or some of it from another plant.
	known  bool
	picked bool
	gone   bool    // by itself: not picked, nor cut off or cleared on purpose
	oldest bool    // of the ripe ones the oldest went, as fallen fruit are
	early  bool    // before the first count
	after  crop.ID // the count before it
	at     crop.Moment
}

// count is what a visit says of the fruit on the plant, as numbers and how they relate to the stages.
type count struct {
	visit crop.ID
	seen  []seen
	first bool // nothing but a guess came before it, or nothing for so long that it is one, so it can't surprise
}

// says tells that a count has a number, not but lower bounds.
func (k *count) says() bool {
	return slices.ContainsFunc(k.seen, func(x seen) bool { return !x.least })
}

// seen is a number of fruit counted in one stage, or (stage -1) in all together.
type seen struct {
	stage  int
	fruits float64
	share  float64 // of the plant that was looked at
	least  bool    // there were at least so many
}

// History is what the records say of one plant, in the order of time.
type History struct {
	Plant  *crop.Plant
	unripe int
	events []event
	first  int // the position of the first event that isn't time going by
	// startRate is how many fruit a day are expected to have set before the first record, mostRate the most that ever do.
	startRate, mostRate float64
}

const overlooked = 3 // fruit that are expected at first beyond what the first count saw (a judgement)

// NewHistory puts a plant's records in order. Nothing may be later than asOf.
func NewHistory(r crop.PlantRecords, b *ledger.Book, k *Clocks, asOf time.Time) *History {
	h := &History{Plant: r.Plant, unripe: b.Ripe}
	if b.Ripe < 1 || len(b.Visits) == 0 {
		return h
	}
	var all []event
	for i := range b.Visits {
		all = append(all, event{at: b.Visits[i].CountedAt.At.UTC(), count: h.count(&b.Visits[i])})
	}
	for i := range b.Removals {
		if x := &b.Removals[i]; x.Fruits > 0 || !x.Counted {
			all = append(all, event{at: h.when(x, b).UTC(), removal: h.removal(x, b)})
		}
	}
	order := make([]int, len(all)) // intervals: a removal of interval i comes before count i
	for i := range all {
		if i < len(b.Visits) {
			order[i] = 2*i + 1
		}
	}
	n := len(b.Visits)
	for i := range b.Removals {
		if x := &b.Removals[i]; x.Fruits > 0 || !x.Counted {
			order[n] = 2 * x.Interval
			n++
		}
	}
	index := make([]int, len(all))
	for i := range index {
		index[i] = i
	}
	slices.SortStableFunc(index, func(i, j int) int {
		return cmp.Or(cmp.Compare(order[i], order[j]), all[i].at.Compare(all[j].at))
	})
	first := all[index[0]].at
	before, cold := h.daysBefore(first, k)
	h.rates(all, order, before)
	last := h.leadIn(h.begins(all, first, before, asOf, k), first, before, cold, k)
	h.first = len(h.events)
	guess := true // there has been no number since the beginning, or since a long silence
	for _, i := range index {
		e := all[i]
		if e.count != nil {
			guess = guess || e.at.After(last.AddDate(0, 0, LongestSilence))
			e.count.first = guess
			guess = guess && !e.count.says()
		}
		if e.at.After(last) {
			last = h.pass(last, e.at, k)
			e.since = k.between(r.Plant, last, e.at)
			last = e.at
		} else {
			e.at = last
		}
		h.events = append(h.events, e)
	}
	if asOf.After(last) {
		seen := len(h.events)
		last = h.pass(last, asOf, k)
		h.events = append(h.events, event{at: asOf, since: k.between(r.Plant, last, asOf)})
		for i := range h.events[seen:] {
			h.events[seen+i].open = true
		}
	}
	return h
}

// fruit is about how much a count saw on the whole plant.
func (c *count) fruit() float64 {
	total, stages := 0.0, 0.0
	for _, x := range c.seen {
		if x.stage < 0 {
			total = x.fruits / x.share
		} else {
			stages += x.fruits / x.share
		}
	}
	return math.Max(total, stages)
}

// rates sets how fast fruit can have set, from what the first count and the removals before it tell of, and from the most that was ever seen or
// taken at once: records that contradict each other mustn't make more and more of it. The first fruit set within so many days before the first record.
func (h *History) rates(all []event, order []int, before int) {
	first, most := all[0].count.fruit(), 0.0
	for i := range all {
		if c := all[i].count; c != nil {
			most = math.Max(most, c.fruit())
		} else if r := all[i].removal; r.known {
			most = math.Max(most, r.fruits)
			if order[i] == 0 {
				first += r.fruits
			}
		}
	}
	h.startRate = (first + overlooked) / float64(before)
	h.mostRate = math.Max(h.startRate, 2*most/rateMemory)
}

// Stretches without a record of up to longestStretch days are gone through at once, longer ones by the week: fruit goes through two stages in
// that time, and whatever sets is of one cohort.
const longestStretch, week = 10, 7

// pass lets the weeks of a long stretch go by, and returns when the rest of it begins.
func (h *History) pass(from, to time.Time, k *Clocks) time.Time {
	if !to.After(from.AddDate(0, 0, longestStretch)) {
		return from
	}
	for next := from.AddDate(0, 0, week); next.Before(to); next = from.AddDate(0, 0, week) {
		h.events = append(h.events, event{at: next, since: k.between(h.Plant, from, next)})
		from = next
	}
	return from
}

// when is the time of a removal, not outside its interval.
func (h *History) when(x *ledger.Removal, b *ledger.Book) time.Time {
	at := x.At.At
	if x.Interval < len(b.Visits) && at.After(b.Visits[x.Interval].CountedAt.At) {
		at = b.Visits[x.Interval].CountedAt.At
	}
	return at
}

func (h *History) removal(x *ledger.Removal, b *ledger.Book) *removal {
	r := &removal{early: x.Interval == 0, at: x.At, stage: min(max(x.Stage, 0), h.unripe), fruits: float64(x.Fruits), known: x.Counted && x.Sure && x.Stage >= 0}
	if !r.early {
		r.after = b.Visits[x.Interval-1].VisitID
	}
	r.picked = x.Picked
	r.gone = !x.Picked && crop.Cause(x.Cause).Found()
	r.oldest = !x.Picked && r.stage == h.unripe
	return r
}

func (h *History) count(e *ledger.Entry) *count {
	c := &count{visit: e.VisitID}
	last := len(e.Standing) - 1
	ripe := func(of []*int) (sum int, ok bool) {
		for s := h.unripe; s <= last; s++ {
			if of[s] == nil {
				return 0, false
			}
			sum += *of[s]
		}
		return sum, true
	}
	told := true
	for s := 0; s <= h.unripe; s++ {
		exact, ok := 0, false
		if s == h.unripe {
			if exact, ok = ripe(e.Standing); !ok && e.AtOrBeyond[s] != nil {
				exact, ok = *e.AtOrBeyond[s], true
			}
		} else if e.Standing[s] != nil {
			exact, ok = *e.Standing[s], true
		}
		if ok {
			c.seen = append(c.seen, seen{stage: s, fruits: float64(exact), share: 1})
			continue
		}
		told = false
		if fruits, share := h.sampled(e.Estimate, s); share > 0 {
			c.seen = append(c.seen, seen{stage: s, fruits: float64(fruits), share: share})
			continue
		}
		least := e.StandingAtLeast[s]
		if s == h.unripe {
			least = e.AtOrBeyondAtLeast[s]
		}
		if least > 0 {
			c.seen = append(c.seen, seen{stage: s, fruits: float64(least), share: 1, least: true})
		}
	}
	if !told && e.AtOrBeyond[0] != nil {
		c.seen = append(c.seen, seen{stage: -1, fruits: float64(*e.AtOrBeyond[0]), share: 1})
	}
	return c
}

// sampled is the fruit of a stage on the trusses that were looked at, and their share of the plant's; 0 where it wasn't looked for on some trusses.
// Stages after the ripe one are ripe, and must have been looked for too.
func (h *History) sampled(stages []*ledger.Estimate, s int) (fruits int, share float64) {
	if stages == nil {
		return 0, 0
	}
	end := s + 1
	if s == h.unripe {
		end = len(stages)
	}
	for _, x := range stages[s:end] {
		if x == nil || x.Of <= 0 || x.Counted <= 0 {
			return 0, 0
		}
		fruits += x.Seen
	}
	return fruits, float64(stages[s].Counted) / float64(stages[s].Of)
}

// unseenDays is how many days ago the green fruit of a plant was counted last.
func (h *History) unseenDays() float64 {
	days := 0.0
	for _, e := range slices.Backward(h.events) {
		if e.count != nil && slices.ContainsFunc(e.count.seen, func(x seen) bool { return x.stage <= 0 && !x.least }) {
			break
		}
		days += e.since.days
	}
	return days
}
