package report

import (
	"fmt"
	"sync"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ledger"
	"vinetally/analytics/ripening"
)

// Ahead is what is still to come of a season's fruit, and how far such forecasts have held. A plant's report has the season's.
type Ahead struct {
	// Forecast is nil where nothing was counted, and where Why says so. Of a season that is over it has no plants.
	Forecast *forecast.Forecast
	// Why says why there is no forecast although fruit may still ripen.
	Why string
	// Blocked are the plants that were treated, with the first day on which they may be picked.
	Blocked map[crop.ID]crop.Date
	// Surprises are the records that the model didn't expect, the most surprising first.
	Surprises []Surprise
	// CountFits is how the counts fit the model, by plant.
	CountFits map[crop.ID][]ripening.CountFit
	// Misfits are the unlikely ones of them, the least likely first.
	Misfits []ripening.Misfit
	// LookBack is what picking at other intervals would have lost; nil in a plant's report and where there is no forecast.
	LookBack *forecast.Intervals

	held func() Held
}

// A report is made while somebody waits, and a fit takes a tenth to a third of a millisecond a count on a scale of four stages, and the more the longer
// the scale. mostForecastCounts is how many counts a season and the earlier ones may have for its report to hold a forecast, mostFittedCounts how many
// may be fitted in all, those of earlier forecasts included.
const (
	mostForecastCounts = 6000
	mostFittedCounts   = 6500
)

// ahead forecasts a trial that was cut to asOf; only is the one plant of a plant's report.
func ahead(full, cut *crop.Trial, records []crop.PlantRecords, asOf time.Time, o Options, only *crop.ID) Ahead {
	n := len(cut.Visits)
	for _, t := range o.Earlier {
		n += len(t.Visits)
	}
	switch {
	case len(cut.Visits) == 0 || o.NoForecast:
		return Ahead{}
	case n > mostForecastCounts && cut.Over():
		return Ahead{}
	case n > mostForecastCounts:
		return Ahead{Why: fmt.Sprintf("%d counts take longer to forecast than a report should take to be made, so this one doesn't look ahead. The first page of “vinetally serve” says what to pick, and the whole forecast is at its own address of the REST interface.", n)}
	}
	m := modelOf(cut, records, asOf, o.Earlier)
	how := ForecastOptions(cut)
	if o.HoldDays != nil {
		how.HoldDays = *o.HoldDays
	}
	a := Ahead{Forecast: forecast.Of(m, how), Blocked: how.Pick.Blocked, Surprises: surprises(m)}
	a.fits(m, only)
	if only == nil {
		a.LookBack = new(forecast.IntervalsOf(m, how))
		a.held = sync.OnceValue(func() Held { return held(full, records, o.Earlier) })
	}
	return a
}

// Surprise is a count that doesn't agree with what the counts before it and the ripening of the cultivar lead to expect, or a picking or
// loss of more fruit than can have hung by them.
type Surprise struct {
	PlantID  crop.ID
	Plant    string
	What     ripening.Act
	VisitID  crop.ID // the count, or the last one before the picking or loss
	At       crop.Moment
	Stage    string // "" for all together
	Seen     float64
	Expected float64 // in the stage; of a picking or loss with those beside it
}

func surprises(m *ripening.Model) []Surprise {
	var all []Surprise
	for _, x := range m.Surprises() {
		all = append(all, Surprise{x.PlantID, x.Plant, x.What, x.VisitID, x.At, x.Stage, x.Seen, x.Expected})
	}
	return all
}

func modelOf(cut *crop.Trial, records []crop.PlantRecords, asOf time.Time, earlier []*crop.Trial) *ripening.Model {
	return ripening.Of(cut, records, ledger.OfAll(records), asOf, earlier)
}

// Held looks back on earlier forecasts, which takes several times as long as the rest of a report, when it is first called. It is
// empty in a plant's report and where there is no forecast.
func (a *Ahead) Held() Held {
	if a.held == nil {
		return Held{}
	}
	return a.held()
}

// Coming tells whether the forecast is of any plant: neither is the season over nor are all plants gone.
func (a *Ahead) Coming() bool { return a.Forecast != nil && len(a.Forecast.Plants) > 0 }

// PlantForecast is the forecast of one plant, nil if there is none.
func (a *Ahead) PlantForecast(id crop.ID) *forecast.Plant {
	if a.Forecast == nil {
		return nil
	}
	for i := range a.Forecast.Plants {
		if p := &a.Forecast.Plants[i]; p.ID == id {
			return p
		}
	}
	return nil
}

// Picks are the days of the picking plan, in a plant's report those on which it is to be picked.
func (s *Season) Picks() []forecast.Pick {
	if !s.Ahead.Coming() {
		return nil
	}
	all := s.Ahead.Forecast.Plan.Picks
	if !s.one {
		return all
	}
	var some []forecast.Pick
	for _, p := range all {
		for _, label := range p.Plants {
			if label == s.Plants[0].Records.Plant.Label {
				some = append(some, p)
			}
		}
	}
	return some
}
