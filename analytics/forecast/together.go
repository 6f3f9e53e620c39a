package forecast

import (
	"vinetally/analytics/countdist"
	"vinetally/analytics/ripening"
)

// group is the forecast of some plants' fruit in one number: given the weather the plants' chances are their own; the weather and
// what isn't known of a cultivar they share.
type group struct {
	course *ripening.Course // nil of no plants
	days   []Day            // MostDays of them
}

func together(outlooks []*ripening.Outlook) *group {
	g := &group{ripening.CourseOf(outlooks), make([]Day, MostDays)}
	unsure := ripening.Uncertainty(outlooks)
	before := countdist.Exactly(0)
	for d := range g.days {
		day := &g.days[d]
		day.Days, day.Distribution = d+1, before
		if g.course == nil {
			continue
		}
		day.Distribution = countdist.NoLess(newlyRipe(outlooks, g.course.Ripening, unsure[d], d), before)
		day.Mean = day.Distribution.Mean()
		before = day.Distribution
	}
	return g
}

// newlyRipe is the number of a day ahead, from 0: a mixture over the weather, each as a part of all that is expected in the end. The parameters add to its
// variance what they leave open where the number grows in proportion to them, which may be more than can be.
func newlyRipe(outlooks []*ripening.Outlook, ever ripening.Number, unsure float64, d int) countdist.Distribution {
	weights, parts := make([]float64, 0, len(ripening.Normal)), make([]countdist.Distribution, 0, len(ripening.Normal))
	for w := range outlooks[0].Weathers {
		mean, variance := 0.0, unsure
		for _, o := range outlooks {
			mean += o.Weathers[w].Mean[d]
			variance += o.Weathers[w].Variance[d]
		}
		ripe := ever.Part(max(mean, leastMean), variance)
		weights = append(weights, outlooks[0].Weathers[w].Weight)
		parts = append(parts, fruits(ripe.Mean, ripe.Variance))
	}
	return countdist.Mixture(weights, parts...)
}

// leastMean is the fewest fruit that are expected of any plant: nothing is impossible.
const leastMean = 0.005
