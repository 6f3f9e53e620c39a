package demotrial

import (
	"math"
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

// airAround returns the air that a plant stood in, hour by hour, along its
// places.
func airAround(s seasonPlan, p plantPlan, air map[string][]float64) []float64 {
	own := make([]float64, len(air[p.place]))
	for i := range own {
		own[i] = air[p.placeOn(dateOf(s.instant(hours(i))))][i]
	}
	return own
}
