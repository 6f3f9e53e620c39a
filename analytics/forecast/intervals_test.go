package forecast

import (
	"math"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/ledger"
	"vinetally/analytics/ripening"
	"vinetally/analytics/simulate"
)

// TestLostShare: with a hazard that doesn't let a fruit live beyond its first days nearly all is lost, with none nothing, and between it
// is the mean over ripening times, here against a sum.
func TestLostShare(t *testing.T) {
	if got := lostShare(0, 7); got != 0 {
		t.Errorf("without falling %v is lost", got)
	}
	if got := lostShare(1e9, 7); got < 0.99 {
		t.Errorf("where all falls at once %v is lost", got)
	}
	const rate = 0.1
	sum, steps := 0.0, 20000
	for i := range steps {
		age := (float64(i) + 0.5) / float64(steps) * 7
		sum += 1 - math.Exp(-rate*4*math.Pow(age/10, 2.5))
	}
	if got, want := lostShare(rate, 7), sum/float64(steps); math.Abs(got-want) > 1e-8 {
		t.Errorf("lost share %v, by summing %v", got, want)
	}
}

// TestIntervals: neglected plants lose more the longer they wait, about as much as they truly did; where little was lost nothing is said.
func TestIntervals(t *testing.T) {
	for _, name := range []string{"neglected", "steady"} {
		c, _ := simulate.Named(name)
		w := simulate.New(c, 1)
		asOf := w.Start.Add(time.Duration(w.Days) * 24 * time.Hour)
		cut := w.Trial.AsOf(asOf)
		records := cut.ByPlant()
		books := ledger.OfAll(records)
		r := IntervalsOf(ripening.Of(cut, records, books, asOf, nil), Options{Days: 14})
		if name == "steady" {
			if len(r.By) != 0 || !strings.Contains(r.Refusal, "at least 10 dated losses") {
				t.Errorf("%s: %d losses give %v, %q", name, r.Losses, r.By, r.Refusal)
			}
			continue
		}
		if len(r.By) != len(EveryDays) || r.Costliest == nil {
			t.Fatalf("%s: %+v", name, r)
		}
		for i, x := range r.By {
			if x.LostShare.Low > x.LostShare.Mean || x.LostShare.Mean > x.LostShare.High {
				t.Errorf("every %d days: %+v", x.EveryDays, x.LostShare)
			}
			if i > 0 && x.LostShare.Mean <= r.By[i-1].LostShare.Mean {
				t.Errorf("every %d days loses no more than every %d: %+v", x.EveryDays, r.By[i-1].EveryDays, r.By)
			}
		}
		// The truth: ripe fruit falls by a Weibull time of shape 2.5 and scale 12 standard days; at about one standard day a day.
		sum, steps := 0.0, 1000
		for i := range steps {
			age := (float64(i) + 0.5) / float64(steps) * 7
			sum += 1 - math.Exp(-math.Pow(age/c.Drop, 2.5))
		}
		true7, got := sum/float64(steps), r.By[len(r.By)-1].LostShare
		t.Logf("picked every 7 days %.3f (%.3f to %.3f) would be lost; of fruit that falls so by a standard clock %.3f; %d losses written, about %.0f not", got.Mean, got.Low, got.High, true7, r.Losses, r.Unwritten)
		if got.Mean < true7/2 || got.Mean > 2*true7 {
			t.Errorf("picked every 7 days %.3f are lost, in truth about %.3f", got.Mean, true7)
		}
	}
}
