package report

import (
	"fmt"
	"slices"

	"vinetally/analytics/forecast"
)

// aheadBasis says what the forecast rests on.
func (s *Season) aheadBasis() []string {
	if !s.Ahead.Coming() {
		return nil
	}
	return []string{s.Ahead.Forecast.Basis()}
}

// aheadWarnings are those of the forecast; in a plant's report those of the plant and its cultivar.
func (s *Season) aheadWarnings() []string {
	switch {
	case s.Ahead.Why != "":
		return []string{s.Ahead.Why}
	case s.newlyRipe() == nil:
		return nil
	case !s.one:
		return s.Ahead.Forecast.Warnings
	}
	out := []string{forecast.Simulated}
	for _, c := range s.forecastCultivars() {
		out = append(out, c.Warnings...)
	}
	return slices.Concat(out, s.Ahead.PlantForecast(s.Plants[0].Records.Plant.ID).Warnings)
}

// aheadMethods are the sentences of the methods on the forecast.
func (s *Season) aheadMethods() []string {
	if s.Ahead.Forecast == nil {
		return nil
	}
	text := []string{fmt.Sprintf("The times that fruit spend in each stage, in %s, were estimated for each cultivar, with an effect of each plant, from counts, pickings and losses: "+
		"gamma-distributed times, cohorts of fruit followed by a filter of their expected numbers and covariances, priors from published times, the mode of the posterior by Fisher scoring.", s.Ahead.clockWords())}
	if s.newlyRipe() != nil {
		text = append(text, fmt.Sprintf("Newly ripe fruit are forecast from these and from %s as count distributions with the mean and variance of the model; intervals are their 5 and 95 %% quantiles.", s.Ahead.weatherWords()))
	}
	return text
}

func (a *Ahead) weatherWords() string {
	switch {
	case a.Forecast.RestsOn.WeatherDays > 0:
		return "the temperature of the recent days"
	case a.Forecast.RestsOn.MostWeatherDays > 0:
		return "the temperature of the recent days, and days of 20 °C at a place without readings"
	case a.Forecast.Thermal:
		return "what readings there are of the temperature, and days of 20 °C where there are none"
	}
	return "days of 20 °C"
}
