package forecast

import (
	"math"

	"vinetally/analytics/countdist"
)

// mostSpread is the largest variance over mean of a number of fruit. Beyond it records are nonsense, and a distribution has hardly anything but a
// chance of none and a tail without an end.
const mostSpread = 1000

// fruits is the distribution of a number of fruit with a mean and a variance.
func fruits(mean, variance float64) countdist.Distribution {
	return countdist.Matched(mean, math.Min(variance, mostSpread*math.Max(mean, 0)))
}
