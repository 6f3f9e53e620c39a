package thermal

import (
	"sort"
	"time"
)

// Stay is a plant's time at a place, from an instant until the next stay.
type Stay struct {
	From  time.Time
	Clock *Clock
}

// Track is where a plant stood, in the order of time. The first stay also counts for the time before it.
type Track []Stay

// Between is what the clocks of the places count from one instant to another, each while the plant stood there.
func (t Track) Between(from, to time.Time) (sum Amount) {
	if to.Before(from) {
		return Amount{}.minus(t.Between(to, from))
	}
	for i, s := range t {
		a, b := from, to
		if i > 0 && a.Before(s.From) {
			a = s.From
		}
		if i+1 < len(t) && b.After(t[i+1].From) {
			b = t[i+1].From
		}
		if a.Before(b) {
			sum = sum.plus(s.Clock.Between(a, b))
		}
	}
	return sum
}

// When is the first instant, to the second, at which so much has been counted from another; ok is false if it hasn't a
// hundred years on.
func (t Track) When(from time.Time, count float64) (when time.Time, ok bool) {
	const century = 100 * 366 * 24 * 3600
	seconds := sort.Search(century, func(s int) bool {
		return t.Between(from, from.Add(time.Duration(s)*time.Second)).Count >= count
	})
	return from.Add(time.Duration(seconds) * time.Second), seconds < century
}
