package report_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"vinetally/analytics/report"
)

// TestStandingTogether holds what stands on plants together, of which some fruit was taken of no plant in particular, to every way in
// which it can have been taken: each fruit of the unit from one of them, before the plant's only count or after it.
func TestStandingTogether(t *testing.T) {
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 7))
		trial := bed("A1", "A2", "A3")
		n := 2 + rng.IntN(2)
		trial.Plants = trial.Plants[:n]
		days, stood := make([]int, n), 0
		for i := range n {
			days[i] = 2 + 2*rng.IntN(2)
			red := 8 + rng.IntN(5)
			counted(trial, i, days[i], 0, 0, 0, red)
			stood += red
			if own := rng.IntN(3); own > 0 {
				picked(trial, i, 6, own, 10)
				stood -= own
			}
		}
		after, before := 0, 0 // of the unit, after every count, and before one of them
		for _, day := range []int{3, 5} {
			fruits := rng.IntN(3)
			if fruits == 0 {
				continue
			}
			p := picked(trial, 0, day, fruits, 10)
			fromUnit(p)
			late := false
			for _, d := range days {
				late = late || d > day
			}
			switch earlier := day > days[0] || day > days[1] || n > 2 && day > days[2]; {
			case late && earlier:
				before += fruits
			case !late:
				after += fruits
			}
		}
		trial.Arrange()
		totals := report.Of(trial, report.Options{NoForecast: true}).Totals
		low, high := stood-after-before, stood-after
		if totals.StandingAtLeast != low || totals.StandingAtMost == nil || *totals.StandingAtMost != high || (totals.Standing != nil) != (low == high) {
			t.Errorf("seed %d: between %d and %s, exactly %s; want %d to %d", seed, totals.StandingAtLeast, number(totals.StandingAtMost), number(totals.Standing), low, high)
		}
	}
}

// TestStandingBetween: the words of what is known between bounds only.
func TestStandingBetween(t *testing.T) {
	for want, fill := range map[string]func() *report.Season{
		"Between 7 and 10 fruit stand on": func() *report.Season {
			b := bed("A1", "A2")
			counted(b, 0, 1, 0, 0, 0, 10)
			fromUnit(picked(b, 0, 2, 3, 30))
			b.Arrange()
			return report.Of(b, report.Options{NoForecast: true})
		},
		"12 fruit stand on": func() *report.Season {
			b := bed("A1", "A2")
			counted(b, 0, 1, 0, 0, 0, 10)
			counted(b, 1, 1, 0, 0, 0, 5)
			fromUnit(picked(b, 0, 2, 3, 30))
			b.Arrange()
			return report.Of(b, report.Options{NoForecast: true})
		},
		"At most 3 fruit stand on": func() *report.Season {
			b := bed("A1", "A2")
			counted(b, 0, 1, 0, 0, 0, 3)
			fromUnit(picked(b, 0, 2, 3, 30))
			b.Arrange()
			return report.Of(b, report.Options{NoForecast: true})
		},
	} {
		if got := fill().Answer[0].Text; !strings.HasPrefix(got, want) {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
