package ripening

import (
	"testing"
	"time"

	"vinetally/analytics/simulate"
)

// TestSearchEnds: on simulated trials of every conduct the search for the parameters ends, at the turn of the season and late.
func TestSearchEnds(t *testing.T) {
	for _, c := range simulate.Conducts() {
		w := simulate.New(c, 1)
		for _, day := range []int{80, 95, 140} {
			for _, v := range fitted(w, w.Start.AddDate(0, 0, day).Add(20*time.Hour)).Cultivars {
				if !v.Converged() {
					t.Errorf("%s, day %d, %s: no end in %d steps", c.Name, day, v.Name, v.fit.iterations)
				}
			}
		}
	}
}
