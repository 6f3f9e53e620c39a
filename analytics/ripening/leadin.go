package ripening

import "time"

// Fruit is followed from so many days before the first record on: longer where it was too cool for fruit to grow and colour in that time, so that none is
// thought too young for the colours it had by then. Days and standard days; a multiple of the steps, which
// there are so many of.
const beforeFirst, longestBefore, beforeFirstSteps = 64, 192, 16

// daysBefore is how many days before a plant's first record its fruit is followed from. Where it was so cold that even the longest time wouldn't have
// done, the fruit grew elsewhere or the readings are of another place, and so many standard days are taken to have passed evenly.
func (h *History) daysBefore(first time.Time, k *Clocks) (days int, cold bool) {
	grown := 0.0
	for days < beforeFirst || grown < beforeFirst && days < longestBefore {
		at := first.AddDate(0, 0, -days)
		days += beforeFirstSteps
		grown += k.between(h.Plant, first.AddDate(0, 0, -days), at).growing
	}
	return days, grown < beforeFirst
}

// begins is when the first fruit can have set, of a plant that is followed from so many days before its first record; by the day of sowing and by what has
// coloured since. Days are of 24 hours, whatever clocks do in the place's zone.
func (h *History) begins(all []event, first time.Time, before int, asOf time.Time, k *Clocks) time.Time {
	start := first.AddDate(0, 0, -before)
	if sown := h.Plant.SownOn; sown != nil && !colouredBefore(all, h.unripe, h.soonestColoured(*sown, k)) {
		set := sown.AddDays(soonestSet).Noon(time.UTC)
		if least := firstFruit(all).AddDate(0, 0, -soonBefore); set.After(least) {
			set = least // fruit that stood tells more than a day that was written down
		}
		if set.After(start) {
			start = set
		}
	}
	if set := h.earliestSet(all, start, asOf, k); set.After(start) {
		start = set
	}
	return start
}

// leadIn lets the time from a start to the first record go by but for the last step, and returns when that begins.
func (h *History) leadIn(start, first time.Time, before int, cold bool, k *Clocks) time.Time {
	last, step := start, before/beforeFirstSteps
	for last.Before(first.AddDate(0, 0, -step)) {
		next := last.AddDate(0, 0, step)
		since := k.between(h.Plant, last, next)
		if cold {
			even := beforeFirst * since.days / float64(before)
			since = advance{growing: even, colouring: even, days: since.days}
		}
		h.events = append(h.events, event{at: next, since: since})
		last = next
	}
	return last
}
