package scoring

import (
	"math"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/simulate"
)

const hoursADay = 24

// step of the bound's grid, in hours: within it a fruit is taken to enter breaker at its middle.
const gridStep = 6

// Bound knows when every standing fruit entered its stage, how residence times are distributed on its plant, and how warm it
// will be, and nothing else: what is left is chance, but for who will pick unripe fruit and which green fruit will go by itself, which it doesn't know.
func Bound(w *simulate.World, _ *crop.Trial, asOf time.Time, days []int) [][]Distribution {
	return fruitByFruit(w, asOf, days, func(l *later, stage int, f *simulate.Fruit) []float64 {
		chances := make([]float64, len(days))
		for d, n := range days {
			chances[d] = l.ripeBy(stage, f.Enters[stage], l.now+float64(n)*hoursADay)
		}
		return chances
	})
}

// fruitByFruit is the forecast of each plant that sums its unripe fruit, each of which is ripe by a number of days ahead with a chance of its own.
func fruitByFruit(w *simulate.World, asOf time.Time, days []int, ripe func(l *later, stage int, f *simulate.Fruit) []float64) [][]Distribution {
	now := w.Hour(asOf)
	var all [][]Distribution
	for p := range w.Plants {
		plant := &w.Plants[p]
		l := newLater(plant, now, now+float64(days[len(days)-1])*hoursADay)
		chances := make([][]float64, len(days))
		for i := range plant.Fruits {
			f := &plant.Fruits[i]
			stage, ok := f.Stage(now)
			if !ok || stage == simulate.Red {
				continue
			}
			for d, chance := range ripe(l, stage, f) {
				chances[d] = append(chances[d], chance)
			}
		}
		var one []Distribution
		for d := range days {
			one = append(one, Sum(chances[d]))
		}
		all = append(all, one)
	}
	return all
}

// later works out the chance that a fruit of a plant is ripe by an hour ahead.
type later struct {
	plant *simulate.Plant
	now   float64
	// colouringCDF is the distribution function of breaker and turning together, on a grid of standard days.
	colouringCDF []float64
}

const fineDay = 0.05 // standard days

func newLater(p *simulate.Plant, now, latest float64) *later {
	l := &later{plant: p, now: now}
	most := count(p.Colouring, latest) - count(p.Colouring, now) + 1
	n := int(most/fineDay) + 2
	l.colouringCDF = make([]float64, n)
	for i := range l.colouringCDF {
		x := float64(i) * fineDay
		for j := 0; j < i; j++ {
			u := (float64(j) + 0.5) * fineDay
			mass := p.Residences[simulate.Breaker].CDF(float64(j+1)*fineDay) - p.Residences[simulate.Breaker].CDF(float64(j)*fineDay)
			l.colouringCDF[i] += mass * p.Residences[simulate.Turning].CDF(x-u)
		}
	}
	return l
}

func count(clock []float64, hour float64) float64 { return simulate.Count(clock, hour) }

func (l *later) colouring(x float64) float64 {
	if x <= 0 {
		return 0
	}
	at := x / fineDay
	i := int(at)
	if i >= len(l.colouringCDF)-1 {
		return l.colouringCDF[len(l.colouringCDF)-1]
	}
	return l.colouringCDF[i] + (at-float64(i))*(l.colouringCDF[i+1]-l.colouringCDF[i])
}

// ripeBy is the chance that a fruit that stands in a stage since an hour is ripe by another.
func (l *later) ripeBy(stage int, since, by float64) float64 {
	c, r := l.plant.Colouring, l.plant.Residences
	switch stage {
	case simulate.Turning:
		age, end := count(c, l.now)-count(c, since), count(c, by)-count(c, since)
		return conditional(r[simulate.Turning], age, end)
	case simulate.Breaker:
		start := count(c, since)
		age, end := count(c, l.now)-start, count(c, by)-start
		survival := 1 - r[simulate.Breaker].CDF(age)
		if survival < 1e-12 {
			return r[simulate.Turning].CDF(end - age)
		}
		sum := 0.0
		for u := age; u < end; u += fineDay {
			to := math.Min(u+fineDay, end)
			sum += (r[simulate.Breaker].CDF(to) - r[simulate.Breaker].CDF(u)) * r[simulate.Turning].CDF(end-(u+to)/2)
		}
		return sum / survival
	default:
		g := l.plant.Growing
		start := count(g, since)
		survival := 1 - r[simulate.Green].CDF(count(g, l.now)-start)
		if survival < 1e-12 {
			return l.colouring(count(c, by) - count(c, l.now))
		}
		sum := 0.0
		before := r[simulate.Green].CDF(count(g, l.now) - start)
		for h := l.now; h < by; h += gridStep {
			to := math.Min(h+gridStep, by)
			after := r[simulate.Green].CDF(count(g, to) - start)
			sum += (after - before) * l.colouring(count(c, by)-count(c, (h+to)/2))
			before = after
		}
		return sum / survival
	}
}

func conditional(r simulate.Residence, age, end float64) float64 {
	survival := 1 - r.CDF(age)
	if survival < 1e-12 {
		return 1
	}
	return (r.CDF(end) - r.CDF(age)) / survival
}
