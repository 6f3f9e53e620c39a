package forecast_test

import (
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ripening"
	"vinetally/analytics/simulate"
)

// TestLaterCost: what a day later costs at the first picking of a plan, beside how many fruit truly pass their hold time on that day if nobody picks. Somewhat too many
// are expected, since more fruit is thought to be left by pickings than is: a fruit that was called ripe at a count and not picked was more often called so by mistake,
// or was picked and not written down, than a count by itself tells.
func TestLaterCost(t *testing.T) {
	conducts, seeds := trials(t)
	n, in, mean, truth := 0.0, 0.0, 0.0, 0.0
	const hold = crop.DefaultHoldDays * 24.0
	watched(conducts, seeds, func(w *simulate.World, m *ripening.Model, _ *crop.Trial, asOf time.Time) {
		f := forecast.Of(m, forecast.Options{Days: 14, Pick: forecast.PickOptions{Weekdays: []time.Weekday{time.Monday, time.Thursday}}})
		if len(f.Plan.Picks) == 0 {
			return
		}
		first := f.Plan.Picks[0]
		now := w.Hour(asOf)
		at := now + 24*float64(first.On.DaysSince(crop.DateOf(asOf)))
		known := map[crop.ID]bool{}
		for i := range f.Plants {
			known[f.Plants[i].ID] = true
		}
		passes := 0.0
		for p := range w.Plants {
			for _, x := range w.Plants[p].Fruits {
				hangs := x.Gone > at || x.Fate == simulate.Picked && x.Gone > now
				if past := x.Enters[simulate.Red] + hold; known[w.Plants[p].ID] && hangs && at < past && past <= at+24 {
					passes++
				}
			}
		}
		n, mean, truth = n+1, mean+first.LaterCost.Mean, truth+passes
		if first.LaterCost.Low <= passes && passes <= first.LaterCost.High {
			in++
		}
	})
	t.Logf("%.0f of %.0f 90 %% intervals hold the truth; %.1f fruit were expected, %.0f passed", in, n, mean, truth)
	if seeds >= seedsToJudge && (in < 0.88*n || mean < truth/1.25 || mean > 1.25*truth) {
		t.Error("what a day later costs isn't what it costs")
	}
}
