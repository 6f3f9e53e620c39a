package forecast_test

import (
	"testing"

	"vinetally/analytics/forecast"
	"vinetally/analytics/simulate"
)

// TestAway: where nobody looks for twelve days, what is still to come at the end of it is told without bias, and intervals of that, of what hangs ripe
// and of what is past ripe hold nearly as often as they should. When as much fruit was taken to set in the pause as in the two weeks before, twice what
// did, 66 to 71 % of the intervals of what is to come held; and 78 % of those past ripe where pickings were seldom written down, which in the pause is
// taken for falling.
func TestAway(t *testing.T) {
	const away = 12.0
	type judged struct{ n, mean, truth, held float64 }
	for _, name := range []string{"steady", "cool", "unlogged picks"} {
		c, ok := simulate.Named(name)
		if !ok {
			t.Fatal(name)
		}
		all := map[string]*judged{"to come": {}, "ripe now": {}, "past ripe": {}}
		see := func(what string, mean, low, high, truth float64) {
			j := all[what]
			j.n, j.mean, j.truth = j.n+1, j.mean+mean, j.truth+truth
			if low <= truth && truth <= high {
				j.held++
			}
		}
		for _, from := range []float64{75, 90, 105, 120, 135, 150} {
			c.Away = [2]float64{from, from + away}
			for seed := range 4 {
				w := simulate.New(c, uint64(seed+1))
				asOf := w.At(24*(from+away) + 16)
				f := forecast.Of(modelOf(w.Trial.AsOf(asOf), asOf), forecast.Options{Days: 14})
				for i := range f.Plants {
					p := &f.Plants[i]
					for k := range w.Trial.Plants {
						if w.Trial.Plants[k].ID != p.ID {
							continue
						}
						red := 0
						for j := range w.Plants[k].Fruits {
							if stage, ok := w.Plants[k].Fruits[j].Stage(w.Hour(asOf)); ok && stage == simulate.Red {
								red++
							}
						}
						see("to come", p.ToCome.Mean, float64(p.ToCome.Low), float64(p.ToCome.High), float64(len(ripeningHours(&w.Plants[k], w.Hour(asOf)))))
						see("ripe now", p.RipeNow.Mean, p.RipeNow.Low, p.RipeNow.High, float64(red))
						see("past ripe", p.PastRipe.Mean, float64(p.PastRipe.Low), float64(p.PastRipe.High), float64(w.PastRipe(k, asOf, p.PastRipe.HoldDays)))
					}
				}
			}
		}
		for what, j := range all {
			t.Logf("%s, %s: %.2f a plant where %.2f are, %.0f %% of %.0f intervals hold", name, what, j.mean/j.n, j.truth/j.n, 100*j.held/j.n, j.n)
			if held := j.held / j.n; held < 0.78 {
				t.Errorf("%s, %s: %.3f of the intervals hold", name, what, held)
			}
			if what == "to come" && (j.mean < 0.9*j.truth || j.mean > 1.1*j.truth) {
				t.Errorf("%s: %.1f expected to come, %.1f do", name, j.mean, j.truth)
			}
		}
	}
}
