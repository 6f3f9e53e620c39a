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

// byLastDay is that of the season's last day, of what is to come; nil where no last day is known, where it has passed, and where it is further ahead than
// fruit is followed.
func byLastDay(g *group, all *ToCome, o *Options, asOf time.Time) *ByDay {
	if o.LastDay == nil {
		return nil
	}
	days := o.LastDay.AddDays(1).Start(zone(*o)).Sub(asOf).Hours() / 24
	if days <= 0 || days > float64(len(g.course.Later)) {
		return nil
	}
	d := g.by(days)
	low, high := d.Quantile((1-Level)/2), d.Quantile((1+Level)/2)
	return &ByDay{*o.LastDay, min(d.Mean(), all.Mean), min(low, all.Low), min(high, all.High)} // no more than ever is
}

// by is the number that is ripe by a moment some days ahead: between two days of the forecast as likely that of either as it is near it. Beyond them how warm it gets
// moves the day, the number has the variance that ripening.Course gives, and it is no less than on the last of them.
func (g *group) by(days float64) countdist.Distribution {
	c := g.course
	if whole, part := math.Modf(days); days <= MostDays {
		d := func(day int) countdist.Distribution {
			if day == 0 {
				return countdist.Exactly(0)
			}
			return g.days[day-1].Distribution
		}
		if part == 0 {
			return d(int(whole))
		}
		return countdist.Mixture([]float64{1 - part, part}, d(int(whole)), d(int(whole)+1))
	}
	weights, parts := make([]float64, 0, len(ripening.Normal)), make([]countdist.Distribution, 0, len(ripening.Normal))
	for _, z := range ripening.Normal {
		at := math.Min(days*math.Exp(z.Z*c.Weather(days)), float64(len(c.Later)))
		chance, unsure := c.Variance(at, 0)
		ripe := c.Ripening.Part(c.By(at), chance+unsure)
		weights, parts = append(weights, z.Weight), append(parts, fruits(ripe.Mean, ripe.Variance))
	}
	return countdist.NoLess(countdist.Mixture(weights, parts...), g.days[MostDays-1].Distribution)
}
