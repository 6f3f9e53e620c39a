package report

import (
	"fmt"
	"slices"
	"time"

	"vinetally/analytics/countdist"
	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ripening"
)

// AheadLevel is the level of the intervals of what is to come.
const AheadLevel = forecast.Level

// RipeBy is the fruit newly ripe since the report's moment by so many times 24 hours later.
type RipeBy struct {
	Days      int
	At        time.Time
	Mean      float64
	Quantiles Quantiles
}

// Quantiles are those of 5, 25, 50, 75 and 95 %: of the interval at forecast.Level, of its middle half, and the median.
type Quantiles struct{ Low, LowerQuartile, Median, UpperQuartile, High int }

func quantiles(d countdist.Distribution) Quantiles {
	const tail = (1 - forecast.Level) / 2
	return Quantiles{d.Quantile(tail), d.Quantile(0.25), d.Quantile(0.5), d.Quantile(0.75), d.Quantile(1 - tail)}
}

// RipeByDay is the forecast of each day ahead, of the season or of the report's one plant; nil if there is none.
func (s *Season) RipeByDay() []RipeBy { return s.ripeByDay(s.newlyRipe()) }

func (s *Season) ripeByDay(days []forecast.Day) []RipeBy {
	var all []RipeBy
	for _, d := range days {
		all = append(all, RipeBy{d.Days, s.AsOf.Add(time.Duration(d.Days) * 24 * time.Hour), d.Mean, quantiles(d.Distribution)})
	}
	return all
}

// newlyRipe is what RipeByDay is made from.
func (s *Season) newlyRipe() []forecast.Day {
	switch {
	case !s.Ahead.Coming():
		return nil
	case !s.one:
		return s.Ahead.Forecast.Season
	}
	if p := s.Ahead.PlantForecast(s.Plants[0].Records.Plant.ID); p != nil {
		return p.NewlyRipe
	}
	return nil
}

// PlantAhead is the forecast of one plant of a season.
type PlantAhead struct {
	ID       crop.ID
	Label    string
	Cultivar string
	By       []RipeBy // of NamedDays
	ToCome   forecast.ToCome
}

// NamedDays are the days ahead that are told of every plant.
var NamedDays = [...]int{3, 7, 14}

// PlantsAhead are the forecasts of the plants on which fruit is still expected to ripen, in the order of the season's.
func (s *Season) PlantsAhead() []PlantAhead {
	if !s.Ahead.Coming() {
		return nil
	}
	var all []PlantAhead
	for i := range s.Plants {
		p := s.Ahead.PlantForecast(s.Plants[i].Records.Plant.ID)
		if p == nil || Rounded(p.ToCome.Mean, 0) == "0" {
			continue
		}
		x := PlantAhead{ID: p.ID, Label: p.Label, Cultivar: p.Cultivar, ToCome: p.ToCome}
		days := s.ripeByDay(p.NewlyRipe)
		for _, n := range NamedDays {
			x.By = append(x.By, days[n-1])
		}
		all = append(all, x)
	}
	return all
}

// ExpectedPastRipe is how many fruit of a plant, or for a nil id of all that the report is of, are expected to have hung past the hold time if the records are
// complete, so no fewer than are certain; nil where the model doesn't know. Raised tells that the model by itself expects fewer.
func (s *Season) ExpectedPastRipe(plant *crop.ID) (p *forecast.PastRipe, raised bool) {
	if !s.Ahead.Coming() {
		return nil, false
	}
	x := s.Ahead.Forecast.PastRipe
	switch {
	case plant == nil && s.one:
		plant = &s.Plants[0].Records.Plant.ID
		fallthrough
	case plant != nil:
		one := s.Ahead.PlantForecast(*plant)
		if one == nil {
			return nil, false
		}
		x = &one.PastRipe
	}
	complete, raised := x.IfComplete()
	return &complete, raised
}

// ResidenceTime is how long fruit of a cultivar spend in one stage, with the interval at forecast.Level, beside the published time.
type ResidenceTime struct {
	Cultivar        string
	From, To        string
	Days, Low, High float64
	Published       float64
	ToldBy          string // published times, or how many counts of how many plants
}

// Residence are the residence times of the report's cultivars; nil where there are none.
func (s *Season) Residence() []ResidenceTime {
	var all []ResidenceTime
	for _, c := range s.forecastCultivars() {
		published := ripening.PublishedDays(len(c.Residence))
		for i, x := range c.Residence {
			all = append(all, ResidenceTime{c.Name, x.From, x.To, x.MeanDays.Value, x.MeanDays.Low, x.MeanDays.High, published[i], stageToldBy(&c, i)})
		}
	}
	return all
}

// stageToldBy says what the time of one stage rests on.
func stageToldBy(c *forecast.Cultivar, stage int) string {
	if c.Earlier == 0 && !c.Told(stage) {
		return "published times"
	}
	return toldBy(c)
}

// toldBy says what a cultivar's times rest on.
func toldBy(c *forecast.Cultivar) string {
	if c.FromTables {
		return "published times"
	}
	text := fmt.Sprintf("%s of %s", plural(c.RestsOn.Visits, "count", "counts"), plants(c.RestsOn.Plants))
	if c.Earlier > 0 {
		text += " and " + plural(c.Earlier, "earlier season", "earlier seasons")
	}
	return text
}

// CountNext are the plants whose count would sharpen the forecast most, the first the most.
func (s *Season) CountNext() []forecast.CountNext {
	if !s.Ahead.Coming() || s.one {
		return nil
	}
	return s.Ahead.Forecast.CountNext
}

// Surprises are the records of the report's plants that the model didn't expect, the most surprising first.
func (s *Season) Surprises() []Surprise {
	return slices.DeleteFunc(slices.Clone(s.Ahead.Surprises), func(x Surprise) bool { return s.one && x.PlantID != s.Plants[0].Records.Plant.ID })
}
