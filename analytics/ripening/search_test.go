package ripening

import (
	"testing"
	"time"

	"vinetally/analytics/ledger"
	"vinetally/analytics/simulate"
)

// TestSearchEnds: on simulated trials of every conduct the search for the parameters ends, at the turn of the season and late, but for one of 26.
func TestSearchEnds(t *testing.T) {
	open := 0
	for _, c := range simulate.Conducts() {
		w := simulate.New(c, 1)
		for _, day := range []int{95, 140} {
			asOf := w.Start.AddDate(0, 0, day).Add(20 * time.Hour)
			cut := w.Trial.AsOf(asOf)
			records := cut.ByPlant()
			books := make([]ledger.Book, len(records))
			for i := range records {
				books[i] = ledger.Of(records[i])
			}
			for _, v := range Of(cut, records, books, asOf, nil).Cultivars {
				if !v.Converged() {
					t.Logf("%s, day %d, %s: no end in %d steps", c.Name, day, v.Name, v.fit.iterations)
					open++
				}
			}
		}
	}
	// A known fault: cool on day 95 creeps. Nothing has coloured there for long, each step lowers what was expected of it by a factor, and the steps end
	// first. Longer strides reach the mode, but forecasts from there were 0.28 of 5.8 fruit too low at 14 days instead of 0.07.
	if open > 1 {
		t.Errorf("%d searches have no end", open)
	}
}
