package report

import (
	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/yield"
)

// ForecastOptions are what a season's records say of how to forecast it: in which zone its days are, when it ends, what was treated and mustn't be
// picked yet, and what ripe fruit weighs where that is known with its error. The trial is cut to the forecast's moment.
func ForecastOptions(t *crop.Trial) forecast.Options {
	o := forecast.Options{Days: forecast.DefaultDays, FruitG: map[crop.ID]forecast.Mass{}, LastDay: t.Season.LastDay}
	o.Pick.Location, o.Pick.Blocked = t.Zone(), forecast.Blocked(t.Diary, t.Plants)
	weights := yield.NewWeights(t)
	for i := range t.Cultivars {
		v := t.Cultivars[i].ID
		scale, ok := crop.ScaleOf(t, v)
		if !ok {
			continue
		}
		if mean, se, ok := weights.RipeMass(v, scale); ok {
			o.FruitG[v] = forecast.Mass{MeanG: mean, StandardError: se}
		}
	}
	return o
}
