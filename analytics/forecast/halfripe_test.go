package forecast_test

import (
	"testing"

	"vinetally/analytics/simulate"
	"vinetally/analytics/simulate/scoring"
)

// TestHalfRipeHabit: where much fruit is picked before it is ripe, the forecast learns of it: what ripens on the plant isn't overestimated much, and intervals
// hold. By a forecast that knows nothing of the habit, as the bound doesn't, far too much would ripen.
func TestHalfRipeHabit(t *testing.T) {
	_, seeds := trials(t)
	for _, share := range []float64{0.15, 0.35} {
		c, _ := simulate.Named("steady")
		c.Name, c.PickTurning = "half ripe", share
		var n, in, mean, truth, bound float64
		for seed := range seeds {
			w := simulate.New(c, uint64(seed+1))
			bounds := scoring.Run(scoring.Bound, w, uint64(seed), scoring.AfterRound)
			for i, x := range scoring.Run(forecaster, w, uint64(seed), scoring.AfterRound) {
				if x.Ahead != 14 {
					continue
				}
				n, mean, truth, bound = n+1, mean+x.Mean, truth+float64(x.Truth), bound+bounds[i].Mean
				if x.Inside80 {
					in++
				}
			}
		}
		t.Logf("of nearly ripe fruit %.2f picked at a visit: within 14 days %.2f expected, %.2f became ripe, %.2f without the habit; 80 %% intervals hold %.0f %%",
			share, mean/n, truth/n, bound/n, 100*in/n)
		if seeds >= seedsToJudge && (mean > 1.2*truth || in < 0.8*n) {
			t.Errorf("%.2f expected where %.2f became ripe; 80 %% intervals hold %.0f %%", mean/n, truth/n, 100*in/n)
		}
		if mean > truth+0.7*(bound-truth) {
			t.Errorf("%.2f expected where %.2f became ripe: the habit isn't learned", mean/n, truth/n)
		}
	}
}
