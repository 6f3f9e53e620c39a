package ripening

import (
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// Days from sowing before which no fruit sets (of a micro-dwarf half the plants flower 45 days after germination, of eight genotypes the first sets at 47 to 54),
// and before which none colours, and standard days from the one to the other (judgements). Of a plant that
// has coloured fruit sooner than either the day of sowing says nothing, or it was warmer than is known.
const soonestSet, soonestColour, soonestGrown = 36, 60, 48

// soonestColoured is before when fruit of a plant sown on a day doesn't colour; in the cold a year after the sowing at the latest.
func (h *History) soonestColoured(sown crop.Date, k *Clocks) time.Time {
	at, grown := sown.AddDays(soonestSet).Noon(time.UTC), 0.0
	colours, latest := sown.AddDays(soonestColour).Noon(time.UTC), sown.AddDays(365).Noon(time.UTC)
	for grown < soonestGrown && at.Before(latest) {
		next := at.AddDate(0, 0, 1)
		grown += k.between(h.Plant, at, next).growing
		at = next
	}
	if at.After(colours) {
		return at
	}
	return colours
}

// firstFruit is when the first record of fruit on a plant was made, the last record's time if there is none.
func firstFruit(all []event) time.Time {
	first := time.Time{}
	for i := range all {
		e := &all[i]
		if fruit := e.removal != nil || e.count != nil && e.count.fruit() > 0; fruit && (first.IsZero() || e.at.Before(first)) {
			first = e.at
		}
	}
	if first.IsZero() {
		for i := range all {
			if all[i].at.After(first) {
				first = all[i].at
			}
		}
	}
	return first
}

// colouredBefore tells whether a plant had coloured fruit before a moment, which can't be green ones taken for the next stage.
func colouredBefore(all []event, unripe int, at time.Time) bool {
	return slices.ContainsFunc(all, func(e event) bool { return e.at.Before(at) && e.coloured(unripe) })
}

func (e *event) coloured(unripe int) bool {
	return e.removal != nil && e.removal.stage >= min(2, unripe) || e.count != nil && e.count.coloured()
}

// earliestSet is the day before which no fruit of a plant can have set if fruit take no longer to colour than longestGreen: so long before the first
// that did after the first record, or before now. It is some days before the first record at the latest, and the zero time where fruit had coloured by
// then. So fruit of which nobody knows when it set tells little of how long it takes by not colouring yet: it may be as young on all plants
// of a trial alike.
func (h *History) earliestSet(all []event, start, now time.Time, k *Clocks) time.Time {
	first, coloured := all[0].at, now
	for i := range all {
		if all[i].at.Before(first) {
			first = all[i].at
		}
		if all[i].at.Before(coloured) && all[i].coloured(h.unripe) {
			coloured = all[i].at
		}
	}
	if !coloured.After(first) {
		return time.Time{}
	}
	at := coloured
	for left := longestGreen * PublishedDays(h.unripe)[0]; left > 0 && at.After(start); at = at.AddDate(0, 0, -1) {
		left -= k.between(h.Plant, at.AddDate(0, 0, -1), at).growing
	}
	if least := first.AddDate(0, 0, -soonBefore); at.After(least) {
		return least
	}
	return at
}

const (
	longestGreen = 1.4 // of the published time: nearly three standard deviations of the prior more
	soonBefore   = 12  // days
)

// coloured tells whether a count saw fruit two stages on, or many of the next one beside the green: now and then one green fruit is taken for that.
func (c *count) coloured() bool {
	green, next := 0.0, 0.0
	for _, x := range c.seen {
		switch {
		case x.stage >= 2 && x.fruits > 0:
			return true
		case x.stage == 1:
			next = x.fruits
		case x.stage == 0:
			green = x.fruits
		}
	}
	return next >= 3 && next > 0.2*green
}
