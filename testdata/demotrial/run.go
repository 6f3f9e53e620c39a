package demotrial

import (
	"fmt"
	"strconv"
	"time"
)

// run is one season in the making.
type run struct {
	season   seasonPlan
	air      map[string][]float64
	bushes   []*bush
	plans    []*plan
	book     *book
	mistakes []*Mistake
	// awaiting holds mistakes whose effect shows at the plant's next whole count.
	awaiting map[string]*Mistake
	weighed  int // weighings so far, for their labels
	visitDay int
}

func newRun(s seasonPlan, b *book, plans []*plan) *run {
	r := &run{season: s, air: map[string][]float64{}, plans: plans, book: b, awaiting: map[string]*Mistake{}}
	for _, p := range places {
		r.air[p.name] = airTemperatures(s, p)
	}
	for _, p := range s.plants {
		r.bushes = append(r.bushes, newBush(s, p, r.air))
	}
	return r
}

// visitDays returns the dates on which somebody went round.
func (s seasonPlan) visitDays() []string {
	d := newDice(s.name, "visit days")
	last := dateOf(s.records)
	var days []string
	for date := s.firstVisit; date < last; {
		days = append(days, date)
		next := addDays(date, pick(d, []int{2, 3, 3, 3, 4}))
		for _, a := range s.away {
			switch {
			case date < a.from && next > a.from:
				next = a.from
			case date == a.from:
				next = a.to
			}
		}
		date = next
	}
	return append(days, last)
}

// startOf returns when a visit day's round begins.
func (r *run) startOf(date string, d *dice) time.Time {
	if at, ok := r.season.starts[date]; ok {
		return clock(date, at[0], at[1])
	}
	switch day(date).Weekday() {
	case time.Saturday, time.Sunday:
		return clock(date, 9, 20+d.below(90))
	}
	return clock(date, 18, 10+d.below(70))
}

// play goes through the season visit by visit.
func (r *run) play() {
	d := newDice(r.season.name, "rounds")
	for _, date := range r.season.visitDays() {
		r.visitDay++
		r.round(date, r.startOf(date, d), d)
	}
	end := r.season.hour(r.season.records)
	for _, b := range r.bushes {
		b.close(end)
		b.truth.Removed = b.removedOn != ""
	}
	for plant := range r.awaiting {
		panic(fmt.Sprintf("demotrial: %s %s: a mistake is never seen", r.season.name, plant))
	}
}

// round visits every plant once, kitchen first.
func (r *run) round(date string, at time.Time, d *dice) {
	observer := "Inês"
	if d.chance(0.35) {
		observer = "Rui"
	}
	together := d.chance(0.3) // today's fruit goes on the scales by cultivar
	taste := d.chance(0.3)
	var basket []*picked
	for _, place := range []string{kitchen, balcony} {
		for _, b := range r.bushes {
			h := r.season.hour(at)
			if b.plan.placeOn(date) != place || b.removedOn != "" || b.firstBud > h {
				continue
			}
			last := date == dateOf(r.season.records) || date == b.plan.removed
			if d.chance(0.03) && !last && !r.season.leavesUnpicked(place, date) {
				continue
			}
			v := visit{run: r, bush: b, at: moment(at), hour: h, date: date, observer: observer, dice: newDice(r.season.name, b.plan.label, date)}
			if r.season.isNotebook(date) {
				v.at = dateAlone(date)
			}
			v.together, v.tasting = together, taste
			basket = append(basket, v.make()...)
			at = at.Add(time.Duration(2+d.below(3)) * time.Minute)
		}
	}
	r.weigh(basket, together)
}

// note adds a mistake to the list.
func (r *run) note(m Mistake) *Mistake {
	m.Season = r.season.name
	r.mistakes = append(r.mistakes, &m)
	return &m
}

func digits(n int) string { return strconv.Itoa(n) }
