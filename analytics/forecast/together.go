package forecast

import (
	"vinetally/analytics/countdist"
	"vinetally/analytics/ripening"
)

// group is the forecast of some plants' fruit in one number: given the weather the plants' chances are their own; the weather and
// what isn't known of a cultivar they share.
type group struct {
	course *ripening.Course       // nil of no plants
	ever   countdist.Distribution // what becomes ripe in the end
	days   []Day                  // MostDays of them
}

func together(outlooks []*ripening.Outlook) *group {
	g := &group{course: ripening.CourseOf(outlooks), days: make([]Day, MostDays)}
	unsure := ripening.Uncertainty(outlooks)
	before := countdist.Exactly(0)
	if c := g.course; c != nil {
		g.ever = countdist.Sum(fruits(max(0, c.Seen.Mean), c.Seen.Variance), fruits(c.Unseen.Mean, c.Unseen.Variance))
	}
	for d := range g.days {
		day := &g.days[d]
		day.Days, day.Distribution = d+1, before
		if g.course == nil {
			continue
		}
		mean, n := newlyRipe(outlooks, g.course.Ripening, unsure[d], d)
		day.Distribution = countdist.NoLess(countdist.NoMore(n, g.ever), before)
		day.Mean, before = mean, day.Distribution
	}
	return g
}

// newlyRipe is the expected number of a day ahead, from 0, which adds up over plants, and its distribution: a mixture over the weather, each as a part of all
// that is expected in the end. The parameters add to its variance what they leave open where the number grows in proportion to them, which may be more
// than can be.
func newlyRipe(outlooks []*ripening.Outlook, ever ripening.Number, unsure float64, d int) (expected float64, n countdist.Distribution) {
	weights, parts := make([]float64, 0, len(ripening.Normal)), make([]countdist.Distribution, 0, len(ripening.Normal))
	for w := range outlooks[0].Weathers {
		mean, variance := 0.0, unsure
		for _, o := range outlooks {
			mean += o.Weathers[w].Mean[d]
			variance += o.Weathers[w].Variance[d]
		}
		expected += outlooks[0].Weathers[w].Weight * mean
		ripe := ever.Part(max(mean, leastMean), variance)
		weights = append(weights, outlooks[0].Weathers[w].Weight)
		parts = append(parts, fruits(ripe.Mean, ripe.Variance))
	}
	return expected, countdist.Mixture(weights, parts...)
}

// leastMean is the fewest fruit that a distribution takes to be expected: nothing is impossible.
const leastMean = 0.005
