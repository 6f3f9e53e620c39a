package forecast

import (
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/ripening"
	"vinetally/analytics/simulate"
)

// TestCostliest: the interval of what passed its hold time in the costliest gap holds how many did.
func TestCostliest(t *testing.T) {
	n, in, mean, truth := 0.0, 0.0, 0.0, 0.0
	for _, name := range []string{"busy weekends", "neglected"} {
		c, _ := simulate.Named(name)
		for seed := range 5 {
			w := simulate.New(c, uint64(seed+1))
			for _, day := range []int{110, 140} {
				asOf := w.Start.Add(time.Duration(day) * 24 * time.Hour)
				cut := w.Trial.AsOf(asOf)
				records := cut.ByPlant()
				books := ledger.OfAll(records)
				gaps := ripening.Of(cut, records, books, asOf, nil).Hanging(func(*ripening.Plant) float64 { return crop.DefaultHoldDays }).Gaps
				worst := costliest(gaps)
				if worst == nil {
					continue
				}
				passed := 0.0
				for _, g := range gaps {
					if crop.DateOf(g.From) == crop.DateOf(worst.From) && crop.DateOf(g.To) == crop.DateOf(worst.To) {
						passed += passedIn(w, g)
					}
				}
				n, mean, truth = n+1, mean+worst.Passed.Mean, truth+passed
				if worst.Passed.Low <= passed && passed <= worst.Passed.High {
					in++
				}
			}
		}
	}
	t.Logf("%.0f of %.0f 90 %% intervals hold the truth; %.1f fruit were expected, %.0f passed", in, n, mean, truth)
	// of 20 intervals that hold nine tenths of the time fewer than 15 do once in a hundred times (binomial)
	if n < 16 || in < 0.75*n || mean < truth/1.5 || mean > 1.5*truth {
		t.Error("the costliest gap isn't what it was")
	}
}

func passedIn(w *simulate.World, g ripening.Gap) (passed float64) {
	for p := range w.Plants {
		if w.Plants[p].ID != g.Plant.ID {
			continue
		}
		for _, x := range w.Plants[p].Fruits {
			if past := x.Enters[simulate.Red] + crop.DefaultHoldDays*24; past > w.Hour(g.From) && past <= w.Hour(g.To) && x.Gone > past {
				passed++
			}
		}
	}
	return passed
}

// TestCostliestAdds: gaps of the same days are one; below half a fruit there is none.
func TestCostliestAdds(t *testing.T) {
	at := func(day int) time.Time { return time.Date(2026, 3, day, 9, 0, 0, 0, time.UTC) }
	gaps := []ripening.Gap{{From: at(1), To: at(8), Passed: 2}, {From: at(8), To: at(20), Passed: 3}, {From: at(1), To: at(8).Add(time.Hour), Passed: 2.5}, {From: at(1), To: at(8), Passed: 0.1}}
	for i := range gaps {
		gaps[i].Zone = time.UTC
	}
	worst := costliest(gaps)
	if worst == nil || worst.From != at(1) || worst.Plants != 2 || worst.Passed.Mean < 4.59 || worst.Passed.Mean > 4.61 {
		t.Fatalf("%+v", worst)
	}
	if r := worst.Passed; !(r.Low < r.Mean && r.Mean < r.High) {
		t.Errorf("%+v", r)
	}
	if some := costliest([]ripening.Gap{{Zone: time.UTC, From: at(1), To: at(8), Passed: 0.4}}); some != nil {
		t.Errorf("four tenths of a fruit: %+v", some)
	}
}
