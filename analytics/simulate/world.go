package simulate

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"time"

	"vinetally/analytics/crop"
)

// Stages of the default scale, in the order of ripening.
const (
	Green = iota
	Breaker
	Turning
	Red
	stages
)

// Fate is what became of a fruit.
type Fate int

// The fates.
const (
	Hanging Fate = iota // at the end of the season
	Picked
	Dropped // ripe, by itself
	Thinned // cut off with its truss, green
	Aborted // dropped when small
	Died    // with its plant
)

// Fruit is the truth about one fruit. Times are hours from the start of the season's first day, +Inf for what never came.
type Fruit struct {
	Truss   int
	Enters  [stages]float64 // when it set, and when it would enter each later stage if nothing took it
	Gone    float64         // when it left the plant
	Fate    Fate
	Written bool // its going is in the records
}

// Stage is the stage of a fruit at an hour; ok is false if it isn't on the plant.
func (f *Fruit) Stage(hour float64) (stage int, ok bool) {
	if hour < f.Enters[Green] || hour >= f.Gone {
		return 0, false
	}
	for stage = Red; stage > Green && hour < f.Enters[stage]; stage-- {
	}
	return stage, true
}

// Plant is the truth about one plant.
type Plant struct {
	ID       crop.ID
	Cultivar int
	Fruits   []Fruit
	// Residences of green, breaker and turning fruit of this plant.
	Residences [Red]Residence
	// Growing and Colouring are the true clocks: days at 20 °C from the start to each hour.
	Growing, Colouring []float64
}

// World is a trial with its truth.
type World struct {
	Conduct Conduct
	Trial   *crop.Trial
	Start   time.Time // hour 0
	Days    int
	Plants  []Plant // in the order of Trial.Plants
	// Means are the mean residence times of each cultivar in green, breaker and turning, days at 20 °C; its plants' differ from them.
	Means [][Red]float64
	// Rounds are the hours at which the last plant of each round of counting was looked at.
	Rounds []float64
}

// Hour is the time from the start, in hours.
func (w *World) Hour(at time.Time) float64 { return at.Sub(w.Start).Hours() }

// At is the moment of an hour.
func (w *World) At(hour float64) time.Time {
	return w.Start.Add(time.Duration(hour * float64(time.Hour))).Truncate(time.Minute)
}

// NewlyRipe is how many fruit of a plant became ripe on it after one moment and by another.
func (w *World) NewlyRipe(plant int, after, by time.Time) int {
	n, from, to := 0, w.Hour(after), w.Hour(by)
	for i := range w.Plants[plant].Fruits {
		f := &w.Plants[plant].Fruits[i]
		if red := f.Enters[Red]; red > from && red <= to && red < f.Gone {
			n++
		}
	}
	return n
}

// PastRipe is how many fruit of a plant hang at a moment that became ripe at least so many calendar days before.
func (w *World) PastRipe(plant int, at time.Time, holdDays float64) int {
	n, hour := 0, w.Hour(at)
	for i := range w.Plants[plant].Fruits {
		f := &w.Plants[plant].Fruits[i]
		if hour < f.Gone && f.Enters[Red] <= hour-holdDays*hoursADay {
			n++
		}
	}
	return n
}

// Days of a season, from sowing.
const seasonDays = 170

// cultivar is what the plants of a cultivar share.
type cultivar struct {
	means              [Red]float64
	shapes             [Red]shape
	growing, colouring response
}

func drawCultivar(rng *rand.Rand) cultivar {
	spread := func(sd float64) float64 { return math.Exp(sd * rng.NormFloat64()) }
	return cultivar{
		means:     [Red]float64{42 * spread(0.12), 2.6 * spread(0.2), 5.5 * spread(0.2)},
		shapes:    [Red]shape{drawShape(0.09, rng), drawShape(0.35, rng), drawShape(0.3, rng)},
		growing:   drawGrowing(rng),
		colouring: drawColouring(rng),
	}
}

// New grows a trial. The same conduct and seed give the same trial.
func New(c Conduct, seed uint64) *World {
	h := fnv.New64a()
	_, _ = h.Write([]byte(c.Name)) // a hash never fails
	rng := rand.New(rand.NewPCG(seed, h.Sum64()))
	w := &World{Conduct: c, Days: seasonDays, Start: time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)}
	air := [][]float64{c.Weather.air(w.Days, rng)}
	if c.Moves {
		air = append(air, Balcony.air(w.Days, rng))
	}
	cultivars := make([]cultivar, c.Cultivars)
	for i := range cultivars {
		cultivars[i] = drawCultivar(rng)
		w.Means = append(w.Means, cultivars[i].means)
	}
	moveHour := float64((90 + rng.IntN(15)) * hoursADay)
	for p := range c.Plants {
		own := air[0]
		if c.Moves && p == 0 {
			own = joined(air[0], air[1], int(moveHour))
		}
		w.Plants = append(w.Plants, drawPlant(p%c.Cultivars, cultivars[p%c.Cultivars], own, rng))
	}
	keep(w, air, moveHour, rng)
	return w
}

func joined(before, after []float64, hour int) []float64 {
	both := append([]float64(nil), before[:hour]...)
	return append(both, after[hour:]...)
}

// drawPlant grows the fruit of a plant as if nobody touched them.
func drawPlant(number int, v cultivar, air []float64, rng *rand.Rand) Plant {
	plant := Plant{Cultivar: number, Growing: clock(v.growing, air), Colouring: clock(v.colouring, air)}
	effect := math.Exp(0.05 * rng.NormFloat64())
	for s := range plant.Residences {
		plant.Residences[s] = v.shapes[s].residence(v.means[s] * effect)
	}
	truss := 0
	flower := 44 + 3*rng.NormFloat64() // day from sowing
	for flush, left := 0, 3+rng.IntN(5); flush < 3; {
		for range 2 + rng.IntN(6) {
			set := (flower + 6*rng.Float64()) * hoursADay
			plant.Fruits = append(plant.Fruits, plant.fruit(truss, set, rng))
		}
		truss++
		flower += 2 + 5*rng.Float64()
		if left--; left == 0 {
			flush, left = flush+1, 2+rng.IntN(4)
			flower += 15 + 20*rng.Float64()
		}
	}
	return plant
}

func (p *Plant) fruit(truss int, set float64, rng *rand.Rand) Fruit {
	f := Fruit{Truss: truss, Gone: math.Inf(1)}
	f.Enters[Green] = set
	for s := Green; s < Red; s++ {
		clock := p.Colouring
		if s == Green {
			clock = p.Growing
		}
		f.Enters[s+1] = math.Inf(1)
		if !math.IsInf(f.Enters[s], 1) {
			f.Enters[s+1] = hourAt(clock, Count(clock, f.Enters[s])+draw(p.Residences[s], rng))
		}
	}
	if rng.Float64() < 0.03 {
		f.Gone, f.Fate = f.Enters[Green]+(2+8*rng.Float64())*hoursADay, Aborted
	}
	return f
}
