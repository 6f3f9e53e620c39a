package forecast

import (
	"math"
	"time"

	"vinetally/analytics/countdist"
	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// ByDay is how much of what is to come is ripe at the end of a day, with the interval at Level.
type ByDay struct {
	On        crop.Date
	Mean      float64
	Low, High int
}

// byLastDay is that of the season's last day; nil where none is known, where it has passed, and where it is further ahead than fruit is followed. How warm it
// gets moves the day, and the number has the variance that ripening.Course gives.
func byLastDay(c *ripening.Course, o *Options, asOf time.Time) *ByDay {
	if o.LastDay == nil {
		return nil
	}
	zone := o.Pick.Location
	if zone == nil {
		zone = time.UTC
	}
	days := o.LastDay.AddDays(1).Start(zone).Sub(asOf).Hours() / 24
	if days <= 0 || days > float64(len(c.Later)) {
		return nil
	}
	weights, parts := make([]float64, 0, len(ripening.Normal)), make([]countdist.Distribution, 0, len(ripening.Normal))
	for _, z := range ripening.Normal {
		at := math.Min(days*math.Exp(z.Z*c.Weather(days)), float64(len(c.Later)))
		chance, unsure := c.Variance(at, 0)
		weights, parts = append(weights, z.Weight), append(parts, fruits(c.By(at), chance+unsure))
	}
	d := countdist.Mixture(weights, parts...)
	return &ByDay{*o.LastDay, d.Mean(), d.Quantile((1 - Level) / 2), d.Quantile((1 + Level) / 2)}
}
