package ripening

import (
	"math"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/simulate"
)

// TestEarlierLosses: the same season once more tells no more of how much goes unwritten. What was found fallen was added to it by each season and
// carried on, so that three earlier ones nearly doubled it.
func TestEarlierLosses(t *testing.T) {
	c, _ := simulate.Named("neglected")
	w := simulate.New(c, 3)
	asOf := w.At(24 * 130)
	cut := w.Trial.AsOf(asOf)
	records := cut.ByPlant()
	books := ledger.OfAll(records)
	rate := func(seasons int) float64 {
		var earlier []*crop.Trial
		for range seasons {
			earlier = append(earlier, cut)
		}
		v := Of(cut, records, books, asOf, earlier).Cultivars[0]
		return math.Exp(v.fit.theta[v.fit.layout.loss()])
	}
	alone := rate(0)
	for seasons := 1; seasons <= 3; seasons++ {
		if got := rate(seasons); got > 1.3*alone || got < 0.5*alone {
			t.Errorf("after %d seasons alike %.4f a day, %.4f after none", seasons, got, alone)
		}
	}
}
