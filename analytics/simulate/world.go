package simulate

import (
	"hash/fnv"
	"math/rand/v2"
	"time"

	"vinetally/analytics/crop"
)

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
	cultivars := make([]Cultivar, c.Cultivars)
	for i := range cultivars {
		cultivars[i] = drawCultivar(rng)
		w.Means = append(w.Means, cultivars[i].Means)
	}
	moveHour := float64((90 + rng.IntN(15)) * hoursADay)
	for p := range c.Plants {
		own := air[0]
		if c.Moves && p == 0 {
			own = joined(air[0], air[1], int(moveHour))
		}
		w.Plants = append(w.Plants, drawPlant(p%c.Cultivars, &cultivars[p%c.Cultivars], own, rng))
	}
	keep(w, air, moveHour, rng)
	return w
}

func joined(before, after []float64, hour int) []float64 {
	both := append([]float64(nil), before[:hour]...)
	return append(both, after[hour:]...)
}
