package forecast

import (
	"cmp"
	"math"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// CountNext is a plant whose count would tell the forecast most.
type CountNext struct {
	PlantID   crop.ID
	Plant     string
	LastCount time.Time
	Days      int // ahead
	// Now and Counted are the standard deviations of the fruit newly ripe by then, without a count and with one.
	Now, Counted float64
}

// countNext lists plants by how much a count would sharpen the season's forecast: by the variance that it takes away, which adds up over
// plants. A count isn't worth the walk that takes less than a tenth off the standard deviation, or less than a tenth of a fruit.
// Nor is one of a plant that was counted whole in the last half day.
func countNext(plants []Plant, outlooks []*ripening.Outlook, asOf time.Time) []CountNext {
	const share, fruit, again = 0.1, 0.1, 12 * time.Hour
	var all []CountNext
	for i, o := range outlooks {
		if last := &o.Plant.Book.Visits[len(o.Plant.Book.Visits)-1]; asOf.Sub(last.CountedAt.At) < again && !slices.Contains(last.Standing, nil) {
			continue
		}
		c := CountNext{
			PlantID: plants[i].ID, Plant: plants[i].Label, LastCount: plants[i].LastCount,
			Days: o.Count.Days, Now: math.Sqrt(o.Count.Before), Counted: math.Sqrt(o.Count.After),
		}
		if c.Now-c.Counted >= max(fruit, share*c.Now) {
			all = append(all, c)
		}
	}
	gain := func(c CountNext) float64 { return c.Now*c.Now - c.Counted*c.Counted }
	slices.SortStableFunc(all, func(a, b CountNext) int { return cmp.Compare(gain(b), gain(a)) })
	return all
}
