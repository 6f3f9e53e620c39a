package simulate

import (
	"math"
	"math/rand/v2"
)

// Weather is the air of a place.
type Weather struct {
	Mean   float64 // °C, of the season
	Drift  float64 // °C, rise from its first day to its last
	Swing  float64 // °C, from the mean to the warmest hour of a day
	Daily  float64 // °C, standard deviation of a day's mean
	Memory float64 // correlation of one day's mean with the next
	Gappy  bool    // the logger stops now and then
}

// The places of the conducts.
var (
	Indoors = Weather{Mean: 21.5, Drift: 1, Swing: 2.5, Daily: 0.8, Memory: 0.8}
	Cool    = Weather{Mean: 16.5, Drift: 2, Swing: 3, Daily: 1.3, Memory: 0.8, Gappy: true}
	Balcony = Weather{Mean: 19.5, Drift: 3, Swing: 6, Daily: 2.8, Memory: 0.75, Gappy: true}
)

const hoursADay = 24

// air draws the temperature at each hour of a season.
func (w Weather) air(days int, rng *rand.Rand) []float64 {
	hours := make([]float64, days*hoursADay+1)
	deviation := w.Daily * rng.NormFloat64()
	next := w.step(deviation, rng)
	for h := range hours {
		if h > 0 && h%hoursADay == 0 {
			deviation, next = next, w.step(next, rng)
		}
		day := float64(h%hoursADay) / hoursADay
		between := deviation*(1-day) + next*day
		trend := w.Drift * (float64(h)/float64(len(hours)) - 0.5)
		hours[h] = w.Mean + trend + between + w.Swing*math.Cos(2*math.Pi*(day-15.0/hoursADay))
	}
	return hours
}

func (w Weather) step(deviation float64, rng *rand.Rand) float64 {
	return w.Memory*deviation + w.Daily*math.Sqrt(1-w.Memory*w.Memory)*rng.NormFloat64()
}
