package scoring

import (
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/simulate"
)

// TableRule takes the last count and the published times of the stages (trade-facts 2.1: breaker to red 8 days at 20 °C, of
// which 2 in breaker; the green time of 42 days is common practice), each fruit anywhere in its stage, at the temperature of the last
// week. Numbers are Poisson.
func TableRule(_ *simulate.World, cut *crop.Trial, asOf time.Time, days []int) [][]Distribution {
	var all [][]Distribution
	speed := map[crop.ID]float64{}
	for _, r := range cut.ByPlant() {
		place := r.Plant.PlaceOn(crop.DateOf(asOf))
		if _, ok := speed[place]; !ok {
			speed[place] = recentSpeed(cut, place, asOf)
		}
		var one []Distribution
		for _, n := range days {
			one = append(one, Poisson(expected(r, asOf, float64(n)*speed[place])))
		}
		all = append(all, one)
	}
	return all
}

// recentSpeed is the ripening rate of the mean temperature of the last week, (T − 7)/13.
func recentSpeed(cut *crop.Trial, place crop.ID, asOf time.Time) float64 {
	sum, n := 0.0, 0
	for i := range cut.Temperatures {
		t := &cut.Temperatures[i]
		if t.PlaceID == place && t.MeasuredAt.After(asOf.AddDate(0, 0, -7)) {
			sum, n = sum+*t.AirC, n+1
		}
	}
	if n == 0 {
		return 1
	}
	return max(sum/float64(n)-7, 0.1) / 13
}

// expected is how many fruit of the last count come ripe within so many standard days, less what was taken since.
func expected(r crop.PlantRecords, asOf time.Time, ahead float64) float64 {
	if len(r.Visits) == 0 {
		return 0
	}
	last := r.Visits[len(r.Visits)-1]
	since := asOf.Sub(last.CountedAt.At).Hours() / hoursADay
	const green, breaker, turning = 42, 2, 6
	share := func(before, length float64) float64 { // of the fruit of a stage, those that come ripe in (since, since+ahead]
		low, high := since-before, since+ahead-before
		return (min(max(high, 0), length) - min(max(low, 0), length)) / length
	}
	c := last.Counts
	return float64(c["turning"])*share(0, turning) + float64(c["breaker"])*share(turning, breaker) + float64(c["green"])*share(turning+breaker, green)
}
