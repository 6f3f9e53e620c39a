package forecast_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
	"vinetally/analytics/simulate"
	"vinetally/analytics/simulate/scoring"
)

// seedsToJudge is how many seeds of every conduct it takes before a claim is judged; with fewer the figures are only printed.
const seedsToJudge = 4

// pooled sums what forecasters lose by days ahead.
type pooled map[int]float64

func (p pooled) add(f scoring.Forecaster, conducts []simulate.Conduct, seeds int) pooled {
	for _, c := range conducts {
		for seed := range seeds {
			for _, x := range scoring.Run(f, simulate.New(c, uint64(seed+1)), uint64(seed), scoring.AfterRound) {
				p[x.Ahead] += x.Loss
			}
		}
	}
	return p
}

// keeping narrows the trial that a forecaster sees to some visits of each plant, told by how many follow it; what was taken before the first of
// them is left out too.
func keeping(f scoring.Forecaster, keep func(following int) bool) scoring.Forecaster {
	return func(w *simulate.World, cut *crop.Trial, asOf time.Time, days []int) [][]scoring.Distribution {
		u := clone(cut)
		following, first := map[crop.ID]int{}, map[crop.ID]time.Time{}
		u.Visits = nil
		for _, v := range slices.Backward(cut.Visits) {
			if keep(following[v.PlantID]) {
				u.Visits = append(u.Visits, v)
				first[v.PlantID] = v.CountedAt.At
			}
			following[v.PlantID]++
		}
		before := func(plant *crop.ID, at crop.Moment) bool { return at.At.Before(first[*plant]) }
		u.Pickings = slices.DeleteFunc(u.Pickings, func(p crop.Picking) bool { return before(p.PlantID, p.PickedAt) })
		u.Losses = slices.DeleteFunc(u.Losses, func(l crop.Loss) bool { return before(l.PlantID, l.LostAt) })
		u.Arrange()
		return f(w, u.AsOf(asOf), asOf, days)
	}
}

// TestOneVisit: a single count already says more than the published times alone do at three days, and no less at seven and fourteen.
func TestOneVisit(t *testing.T) {
	conducts, seeds := trials(t)
	only := func(following int) bool { return following == 0 }
	one, table := pooled{}.add(keeping(forecaster, only), conducts, seeds), pooled{}.add(keeping(scoring.TableRule, only), conducts, seeds)
	for _, h := range scoring.Horizons {
		t.Logf("%2d days: from one visit %.3f of the table rule's loss", h, one[h]/table[h])
		if seeds >= seedsToJudge && one[h] > table[h] {
			t.Errorf("%d days: from one visit the forecast loses %v, the table rule %v", h, one[h], table[h])
		}
	}
}

// TestMoreVisits: counts in between don't make the forecast worse, on average over trials.
func TestMoreVisits(t *testing.T) {
	conducts, seeds := trials(t)
	full := pooled{}.add(forecaster, conducts, seeds)
	half := pooled{}.add(keeping(forecaster, func(following int) bool { return following%2 == 0 }), conducts, seeds)
	for _, h := range scoring.Horizons {
		t.Logf("%2d days: with all visits %.3f of the loss with every other", h, full[h]/half[h])
		if seeds >= seedsToJudge && full[h] > half[h] {
			t.Errorf("%d days: all visits lose %v, every other %v", h, full[h], half[h])
		}
	}
}

// watched hands every model that scoring asks for to see.
func watched(conducts []simulate.Conduct, seeds int, see func(w *simulate.World, m *ripening.Model, cut *crop.Trial, asOf time.Time)) {
	for _, c := range conducts {
		for seed := range seeds {
			scoring.Run(func(w *simulate.World, cut *crop.Trial, asOf time.Time, days []int) [][]scoring.Distribution {
				see(w, modelOf(cut, asOf), cut, asOf)
				return scoring.Naive(w, cut, asOf, days)
			}, simulate.New(c, uint64(seed+1)), uint64(seed), scoring.ThatEvening)
		}
	}
}

// TestResidenceCovered: how often the 80 % intervals of residence times hold the cultivar's true mean, from which its plants differ by 5 %, by stage and day.
func TestResidenceCovered(t *testing.T) {
	conducts, seeds := trials(t)
	type tally struct{ n, in, off float64 }
	var by [simulate.Red]map[int]*tally
	for s := range by {
		by[s] = map[int]*tally{}
	}
	watched(conducts, seeds, func(w *simulate.World, m *ripening.Model, _ *crop.Trial, asOf time.Time) {
		day := int(w.Hour(asOf) / 24)
		for _, c := range m.Cultivars {
			for s, r := range c.Residences(0.8) {
				k := slices.IndexFunc(w.Trial.Cultivars, func(v crop.Cultivar) bool { return v.ID == c.ID })
				x := by[s][day]
				if x == nil {
					x = &tally{}
					by[s][day] = x
				}
				truth := math.Log(w.Means[k][s])
				x.n++
				x.off += math.Pow(math.Log(r.MeanDays.Value)-truth, 2)
				if math.Log(r.MeanDays.Low) <= truth && truth <= math.Log(r.MeanDays.High) {
					x.in++
				}
			}
		}
	})
	for _, day := range []int{80, 95, 110, 125, 140} {
		in, n := 0.0, 0.0
		for s := range by {
			x := by[s][day]
			in, n = in+x.in, n+x.n
			t.Logf("stage %d, day %3d: %.0f of %.0f 80 %% intervals hold the truth (%.0f %%); rms error %.1f %%", s, day, x.in, x.n, 100*x.in/x.n, 100*math.Sqrt(x.off/x.n))
		}
		if seeds >= seedsToJudge && !(0.74*n <= in && in <= 0.9*n) {
			t.Errorf("day %d: %v of %v 80 %% intervals hold the truth", day, in, n)
		}
	}
}

// TestWhatCountsCanTell prints what is lost by not knowing more than between which counts each fruit entered its stage, beside the forecast's loss.
// What the forecast loses beyond it is what counts overlook and confuse, that they don't tell one fruit from another, and what isn't known of the
// cultivar and of the weather.
func TestWhatCountsCanTell(t *testing.T) {
	conducts, seeds := trials(t)
	bound, counted, full := pooled{}.add(scoring.Bound, conducts, seeds), pooled{}.add(scoring.Counted, conducts, seeds), pooled{}.add(forecaster, conducts, seeds)
	for _, h := range scoring.Horizons {
		t.Logf("%2d days: of the bound's loss %.2f from perfect counts, %.2f by the forecast", h, counted[h]/bound[h], full[h]/bound[h])
		if seeds >= seedsToJudge && !(0.98*bound[h] < counted[h] && counted[h] < full[h]) {
			t.Errorf("%d days: losses of %v by the bound, %v from perfect counts, %v by the forecast", h, bound[h], counted[h], full[h])
		}
	}
}
