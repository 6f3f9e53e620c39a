package ripening

import (
	"math"
	"testing"

	"vinetally/analytics/ledger"
	"vinetally/analytics/simulate"
)

// TestCountFits: simulated counts, made on other assumptions than the model's, fit it: numbers of none where none are expected, which many are, are off
// by next to nothing, so that the squared deviation is below 1; a count that is wrong doesn't, and is the visit that is named.
func TestCountFits(t *testing.T) {
	for _, name := range []string{"steady", "swinging", "neglected"} {
		c, _ := simulate.Named(name)
		var sum FitSum
		for seed := range 4 {
			w := simulate.New(c, uint64(seed+1))
			asOf := w.At(24 * 125)
			fits := func() (*Model, [][]CountFit) {
				cut := w.Trial.AsOf(asOf)
				records := cut.ByPlant()
				books := make([]ledger.Book, len(records))
				for i := range records {
					books[i] = ledger.Of(records[i])
				}
				m := Of(cut, records, books, asOf, nil)
				return m, m.CountFits()
			}
			m, all := fits()
			for i, counts := range all {
				sum.Add(counts)
				if want := len(m.Plants[i].Book.Visits) - 1; len(counts) != want {
					t.Errorf("%s, seed %d: %d of the %d counts of %s after its first", name, seed+1, len(counts), want, m.Plants[i].Label)
				}
				for k := range counts {
					for _, n := range counts[k].Numbers {
						if n.Stage == "" || n.SD <= 0 || math.IsNaN(n.Expected) || n.Expected < 0 {
							t.Errorf("%s, seed %d: %+v", name, seed+1, n)
						}
					}
				}
			}
			// ten fruit more are called red at one visit than stood
			visit := &w.Trial.Visits[len(w.Trial.Visits)/2]
			if seed > 0 || visit.CountedAt.At.After(asOf) {
				continue
			}
			visit.Counts["red"] += 10
			m, all = fits()
			for i, counts := range all {
				for k := range counts {
					if counts[k].VisitID == visit.ID && counts[k].Chance() > 1e-4 {
						t.Errorf("%s: ten red fruit too many at a visit of %s have a chance of %v", name, m.Plants[i].Label, counts[k].Chance())
					}
				}
			}
		}
		a := sum.Squared / float64(sum.Numbers)
		t.Logf("%s: %d counts, squared deviation %.2f a number, %d unlikely", name, sum.Counts, a, sum.Unlikely)
		if share := float64(sum.Unlikely) / float64(sum.Counts); a < 0.3 || a > 0.9 || share > 0.05 {
			t.Errorf("%s: squared deviation %.2f a number, %.3f of the counts unlikely", name, a, share)
		}
	}
}
