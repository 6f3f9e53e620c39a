package scoring

import (
	"math"
	"os"
	"strconv"
	"testing"

	"vinetally/analytics/simulate"
)

// trials tells how many seeds of every conduct are scored, by the environment variable VINETALLY_SCORE_SEEDS; by default two conducts of one
// seed.
func trials(t *testing.T) (conducts []simulate.Conduct, seeds int) {
	t.Helper()
	if s := os.Getenv("VINETALLY_SCORE_SEEDS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil || n < 1 {
			t.Fatalf("VINETALLY_SCORE_SEEDS is %q, want a number of seeds", s)
		}
		return simulate.Conducts(), n
	}
	return simulate.Conducts()[:2], 1
}

// TestReferencesAreInOrder: who knows everything but chance loses least, who knows the published times of the stages comes next, and who knows no
// ripening last, at a week and at a fortnight.
func TestReferencesAreInOrder(t *testing.T) {
	conducts, seeds := trials(t)
	names := []string{"bound", "table rule", "naive"}
	loss, inside, cases := map[string]map[int]float64{}, map[string]map[int]float64{}, map[int]float64{}
	for i, f := range []Forecaster{Bound, TableRule, Naive} {
		loss[names[i]], inside[names[i]] = map[int]float64{}, map[int]float64{}
		for _, c := range conducts {
			for seed := range seeds {
				for _, x := range Run(f, simulate.New(c, uint64(seed+1)), uint64(seed), AfterRound) {
					loss[names[i]][x.Ahead] += x.Loss
					if x.Inside80 {
						inside[names[i]][x.Ahead]++
					}
					if i == 0 {
						cases[x.Ahead]++
					}
				}
			}
		}
	}
	for _, h := range Horizons {
		for _, n := range names {
			t.Logf("%2d days, %-10s: loss %.3f, %.2f of the bound's; 80 %% intervals hold %.0f %%", h, n, loss[n][h]/cases[h], loss[n][h]/loss["bound"][h],
				100*inside[n][h]/cases[h])
		}
		if h >= 7 && !(loss["bound"][h] < loss["table rule"][h] && loss["table rule"][h] < loss["naive"][h]) {
			t.Errorf("%d days: losses %v, %v, %v", h, loss["bound"][h], loss["table rule"][h], loss["naive"][h])
		}
	}
	if share := inside["bound"][14] / cases[14]; share < 0.7 {
		t.Errorf("80 %% intervals of the bound hold %.0f %% at 14 days", 100*share)
	}
}

func TestDistributions(t *testing.T) {
	d := Sum([]float64{0.5, 0.5})
	for n, want := range []float64{0.25, 0.5, 0.25} {
		if math.Abs(d.At(n)-want) > 1e-15 {
			t.Errorf("P(%d of two coins) = %v", n, d.At(n))
		}
	}
	if d.Quantile(0.25) != 0 || d.Quantile(0.26) != 1 || d.Below(2) != 0.75 || d.Mean() != 1 {
		t.Errorf("quantiles of two coins: %d, %d; below 2: %v", d.Quantile(0.25), d.Quantile(0.26), d.Below(2))
	}
	// A forecast that is sure loses nothing when it is right, and half a fruit, in the mean over the quantiles, when it is one off.
	sure := Distribution{0, 0, 0, 1}
	if Pinball(sure, 3) != 0 || math.Abs(Pinball(sure, 4)-0.5) > 1e-12 || math.Abs(Pinball(sure, 2)-0.5) > 1e-12 {
		t.Errorf("pinball of a sure forecast: %v, %v, %v", Pinball(sure, 3), Pinball(sure, 4), Pinball(sure, 2))
	}
	sum := 0.0
	for _, p := range Poisson(4) {
		sum += p
	}
	if math.Abs(sum-1) > 1e-9 || math.Abs(Poisson(4).Mean()-4) > 1e-6 {
		t.Errorf("Poisson(4) sums to %v with mean %v", sum, Poisson(4).Mean())
	}
}
