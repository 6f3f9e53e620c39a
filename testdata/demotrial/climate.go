package demotrial

import (
	"math"
	"sort"
	"time"
)

// airTemperatures returns the true air temperature of a place in °C for every
// hour from the season's first midnight on.
//
// The kitchen unit has lamps from 6 to 22 o'clock and follows the house a
// little; the balcony follows the year, the day and the weather of the day.
func airTemperatures(s seasonPlan, place placePlan) []float64 {
	n := int(s.hour(s.records.AddDate(0, 0, 2)))
	weather := newDice(s.name, "weather") // one sky over both places
	noise := newDice(s.name, place.name, "air")
	air := make([]float64, n)
	spell, today, unit := 0.0, "", 21.5
	for i := range air {
		t := s.instant(hours(i)).In(zone)
		if date := dateOf(t); date != today {
			today = date
			spell = 0.75*spell + 1.3*weather.normal()
		}
		outside := yearlyMean(t) + spell
		hour := float64(t.Hour())
		if place.sheltered {
			target := 20.6 + 0.15*(outside-17)
			if t.Hour() >= 6 && t.Hour() < 22 {
				target += 3.2
			}
			unit += 0.4 * (target - unit)
			air[i] = unit + 0.15*noise.normal()
			continue
		}
		swing := 3.4 + 1.4*math.Cos(2*math.Pi*(float64(t.YearDay())-200)/365)
		air[i] = outside + swing*math.Cos(2*math.Pi*(hour-15)/24) + 0.3*noise.normal()
	}
	return air
}

// yearlyMean is the mean temperature of a date on a sheltered south balcony of
// a mild coast: about 14 °C in January and 23 °C in August (invented).
func yearlyMean(t time.Time) float64 {
	return 18.4 + 4.6*math.Cos(2*math.Pi*(float64(t.YearDay())-225)/365)
}

// point is one knot of a rate curve: temperature in °C, rate relative to 20 °C.
type point struct{ airC, rate float64 }

// growingRate is the rate of development from set to first colour. The knots at
// 14, 18, 22 and 26 °C are the flower-to-ripe times 95, 65, 46 and 42 days of
// Adams, Cockshull and Cave (2001), Annals of Botany 88, 869–877, against the
// 53.9 days that their rates give at 20 °C; the ends are invented.
var growingRate = []point{
	{6.7, 0}, {14, 53.9 / 95}, {18, 53.9 / 65}, {22, 53.9 / 46}, {26, 53.9 / 42}, {30, 1.25}, {36, 0.6},
}

// colouringRate is the rate from first colour to ripe. The knots from 12.5 to
// 25 °C are the days from breaker to red of a postharvest table widely taught
// (16, 13, 10, 8, 6, 5 days; quoted from memory, common practice); above 30 °C
// red colour fails, and the ends are invented.
var colouringRate = []point{
	{5, 0}, {12.5, 8.0 / 16}, {15, 8.0 / 13}, {17.5, 8.0 / 10}, {20, 1}, {22.5, 8.0 / 6}, {25, 8.0 / 5}, {30, 1.6}, {36, 0.5},
}

// rateAt reads a rate curve between its knots by straight lines; beyond the
// ends the last value holds.
func rateAt(curve []point, airC float64) float64 {
	i := sort.Search(len(curve), func(i int) bool { return curve[i].airC >= airC })
	if i == 0 {
		return curve[0].rate
	}
	if i == len(curve) {
		return curve[len(curve)-1].rate
	}
	a, b := curve[i-1], curve[i]
	return a.rate + (b.rate-a.rate)*(airC-a.airC)/(b.airC-a.airC)
}

// biology is a plant's thermal time: standard days (days at 20 °C) passed by
// each hour of the season, for growing and for colouring, along the places
// where the plant stood.
type biology struct{ growing, colouring []float64 }

func newBiology(s seasonPlan, p plantPlan, air map[string][]float64) biology {
	n := len(air[p.place])
	b := biology{growing: make([]float64, n+1), colouring: make([]float64, n+1)}
	for i := range n {
		t := air[p.placeOn(dateOf(s.instant(hours(i))))][i]
		b.growing[i+1] = b.growing[i] + rateAt(growingRate, t)/24
		b.colouring[i+1] = b.colouring[i] + rateAt(colouringRate, t)/24
	}
	return b
}

// after returns the hour at which the given standard days have passed since
// from, or +Inf if the season ends before.
func after(passed []float64, from hours, standardDays float64) hours {
	last := len(passed) - 1
	if float64(from) >= float64(last) {
		return hours(math.Inf(1))
	}
	i := int(from)
	start := passed[i] + (passed[i+1]-passed[i])*(float64(from)-float64(i))
	goal := start + standardDays
	j := sort.SearchFloat64s(passed, goal)
	if j > last {
		return hours(math.Inf(1))
	}
	step := passed[j] - passed[j-1]
	if step <= 0 {
		return hours(j)
	}
	return hours(float64(j-1) + (goal-passed[j-1])/step)
}
