package pastripe

import (
	"math"
	"time"

	"vinetally/analytics/crop"
)

// hold is the hold time in calendar days: the one asked for, else the cultivar's own, else crop.DefaultHoldDays.
func hold(cultivar *crop.Cultivar, asked float64) float64 {
	switch {
	case asked > 0: // not so for NaN
		return asked
	case cultivar != nil:
		return cultivar.Hold()
	default:
		return crop.DefaultHoldDays
	}
}

// longestHold keeps the arithmetic of dates within their range; nothing hangs on a vine for a hundred years.
const longestHold = 36_500

// heldAt is when fruit seen ripe at m has hung for so many calendar days: whole days by the calendar of the place, so that
// a week is a week across a change of clocks, and a part of a day as hours. A day alone is taken at its end.
func heldAt(m crop.Moment, days float64) time.Time {
	whole, part := math.Modf(min(days, longestHold))
	return m.Latest().AddDate(0, 0, int(whole)).Add(time.Duration(part * 24 * float64(time.Hour)))
}
