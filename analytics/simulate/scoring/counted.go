package scoring

import (
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/simulate"
)

// Counted knows what Bound knows, but of when a standing fruit entered its stage only between which counts of its plant that was: all that could
// be told from counts that overlook and confuse nothing, if every fruit were followed on its own.
func Counted(w *simulate.World, cut *crop.Trial, asOf time.Time, days []int) [][]Distribution {
	counts := map[crop.ID][]float64{}
	for i := range cut.Visits {
		v := &cut.Visits[i]
		counts[v.PlantID] = append(counts[v.PlantID], w.Hour(v.CountedAt.At))
	}
	return fruitByFruit(w, asOf, days, func(l *later, stage int, f *simulate.Fruit) []float64 {
		from, to := between(counts[l.plant.ID], f.Enters[stage], l.now)
		return l.ripeIfEntered(stage, from, to, days)
	})
}

// between are the counts before and after an hour; before the first count a day is taken, after the last now.
func between(counts []float64, hour, now float64) (from, to float64) {
	from, to = hour-hoursADay, now
	for _, at := range counts {
		if at <= hour {
			from = max(from, at)
		} else {
			to = min(to, at)
		}
	}
	return from, to
}

// ripeIfEntered is the chance, for each number of days ahead, that a fruit is ripe by then which entered its stage evenly between two hours
// and stands in it now.
func (l *later) ripeIfEntered(stage int, from, to float64, days []int) []float64 {
	clock := l.plant.Colouring
	if stage == simulate.Green {
		clock = l.plant.Growing
	}
	chances, total := make([]float64, len(days)), 0.0
	const parts = 8
	for k := range parts {
		since := from + (to-from)*(float64(k)+0.5)/parts
		still := 1 - l.plant.Residences[stage].CDF(count(clock, l.now)-count(clock, since))
		total += still
		for d, n := range days {
			chances[d] += still * l.ripeBy(stage, since, l.now+float64(n)*hoursADay)
		}
	}
	for d := range days {
		chances[d] /= total
	}
	return chances
}
