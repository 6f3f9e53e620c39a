package scoring

import (
	"math/rand/v2"
	"time"

	"vinetally/analytics/simulate"
)

// Horizons are the days ahead that are scored.
var Horizons = []int{3, 7, 14}

// dates are the days from sowing at which forecasts are made.
var dates = []int{80, 95, 110, 125, 140}

// Asked is when on such a day a forecast is asked for.
type Asked int

// When forecasts are asked for: right after the last round of counting up to the day's evening, or on that evening however long ago the last
// round was.
const (
	AfterRound Asked = iota
	ThatEvening
)

// at is the moment of a forecast.
func (a Asked) at(w *simulate.World, day int) time.Time {
	evening := w.Start.Add(time.Duration(day)*hoursADay*time.Hour + 20*time.Hour + 30*time.Minute)
	if a == ThatEvening {
		return evening
	}
	last := w.Start
	for _, hour := range w.Rounds {
		if at := w.At(hour); !at.After(evening) {
			last = at
		}
	}
	return last.Add(time.Minute)
}

// Case is one forecast of one plant at one horizon, with what happened.
type Case struct {
	Conduct string
	Seed    uint64
	Day     int // from sowing
	Ahead   int // days
	Plant   int
	Loss    float64
	PIT     float64 // randomised
	// Inside tells whether the central 80 and 90 % intervals hold what happened.
	Inside80, Inside90 bool
	Truth              int
	Mean               float64
}

// Run scores a forecaster on one trial.
func Run(f Forecaster, w *simulate.World, seed uint64, when Asked) []Case {
	rng := rand.New(rand.NewPCG(seed, 0x706974))
	var cases []Case
	for _, day := range dates {
		asOf := when.at(w, day)
		cut := w.Trial.AsOf(asOf)
		answers := f(w, cut, asOf, Horizons)
		for p := range w.Plants {
			if gone := w.Trial.Plants[p].RemovedOn; gone != nil && gone.Start(time.UTC).Before(asOf) {
				continue
			}
			for h, ahead := range Horizons {
				d := answers[p][h]
				n := w.NewlyRipe(p, asOf, asOf.AddDate(0, 0, ahead))
				cases = append(cases, Case{
					Conduct: w.Conduct.Name, Seed: seed, Day: day, Ahead: ahead, Plant: p,
					Loss: Pinball(d, n), PIT: d.Below(n) + rng.Float64()*d.At(n),
					Inside80: d.Quantile(0.1) <= n && n <= d.Quantile(0.9), Inside90: d.Quantile(0.05) <= n && n <= d.Quantile(0.95),
					Truth: n, Mean: d.Mean(),
				})
			}
		}
	}
	return cases
}
