package scoring

import (
	"math"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/simulate"
)

// A Forecaster says, for every plant of a trial that was cut at a moment, how many fruit will newly ripen in the days ahead.
// The world is the truth: only Bound may look at it.
type Forecaster func(w *simulate.World, cut *crop.Trial, asOf time.Time, days []int) [][]Distribution

// Naive expects what ripened in the last seven days to ripen again, Poisson.
func Naive(_ *simulate.World, cut *crop.Trial, asOf time.Time, days []int) [][]Distribution {
	var all [][]Distribution
	for _, r := range cut.ByPlant() {
		recent := ripened(ledger.Of(r), asOf.AddDate(0, 0, -7))
		var one []Distribution
		for _, n := range days {
			one = append(one, Poisson(math.Max(recent, 0.5)*float64(n)/7))
		}
		all = append(all, one)
	}
	return all
}

// ripened is the rise of the ripe stage's ever_reached from the last count before a moment to the last count.
func ripened(book ledger.Book, since time.Time) float64 {
	before, last, ripe := 0, 0, len(book.Scale)-1
	for i := range book.Visits {
		e := &book.Visits[i]
		if e.EverReached[ripe] == nil {
			continue
		}
		if !e.CountedAt.At.After(since) {
			before = *e.EverReached[ripe]
		}
		last = *e.EverReached[ripe]
	}
	return float64(max(last-before, 0))
}
