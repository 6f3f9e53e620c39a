package pastripe_test

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vinetally/analytics/ledger"
	"vinetally/analytics/pastripe"
)

// TestCertainAgainstEveryLife: no life that the records allow has fewer fruit past ripe than is called certain; and where
// no stage follows the ripe one some life has just so many.
func TestCertainAgainstEveryLife(t *testing.T) {
	for _, c := range []struct {
		name         string
		soft, sloppy bool
	}{
		{name: "exact and complete"},
		{name: "bounds, unknown numbers and plants", sloppy: true},
		{name: "a stage after ripe", soft: true},
		{name: "a stage after ripe, bounds, unknown numbers", soft: true, sloppy: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			cases, attained, positive := 0, 0, 0
			rapid.Check(t, func(t *rapid.T) {
				d := draw(t, c.soft, c.sloppy)
				q := ask(t, len(d.steps))
				got := pastripe.Of(d.records, ledger.Of(d.records), q.asOf, q.holdDays)
				want := allLives(d.steps, c.soft).leastOld(q.last)
				if got.Certain > want {
					t.Errorf("certain %d, but a life with %d is possible", got.Certain, want)
				}
				if !c.soft && got.Certain != want {
					t.Errorf("certain %d, want %d: no stage follows the ripe one, so the bound is attained", got.Certain, want)
				}
				if got.Certain > got.StandingRipeAtLeast || got.StandingRipe != nil && got.StandingRipeAtLeast != *got.StandingRipe {
					t.Errorf("certain %d, standing at least %d, standing %v", got.Certain, got.StandingRipeAtLeast, got.StandingRipe)
				}
				if hanging := d.hanging(); got.StandingRipeAtLeast > hanging {
					t.Errorf("at least %d hang ripe, in truth %d", got.StandingRipeAtLeast, hanging)
				}
				cases++
				if got.Certain == want {
					attained++
				}
				if got.Certain > 0 {
					positive++
				}
			})
			if positive == 0 {
				t.Errorf("no case of %d had certain fruit: nothing was tested", cases)
			}
			t.Logf("the bound was attained in %d of %d cases; %d had certain fruit", attained, cases, positive)
		})
	}
}

// TestLongestAgainstEveryLife: in no life has a fruit hung longer; and with exact records some life has one that has hung just
// so long (less than any given moment, for a fruit seen first in a step may have ripened right after the one before).
func TestLongestAgainstEveryLife(t *testing.T) {
	for _, sloppy := range []bool{false, true} {
		t.Run(fmt.Sprintf("sloppy %v", sloppy), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				d := draw(t, false, sloppy)
				q := ask(t, len(d.steps))
				got := pastripe.Of(d.records, ledger.Of(d.records), q.asOf, q.holdDays)
				first := lastCounted(d).oldest()
				switch {
				case got.StandingRipe != nil && *got.StandingRipe == 0:
					if got.LongestDays != nil {
						t.Errorf("nothing hangs, but the longest is %v", *got.LongestDays)
					}
				case first <= 0:
					if first == 0 && got.LongestDays != nil {
						t.Errorf("longest %v, but fruit may have hung since before the first step", *got.LongestDays)
					}
				default:
					since := q.asOf.Sub(at(first-1).At).Hours() / 24
					if got.LongestDays != nil && *got.LongestDays < since {
						t.Errorf("longest %v, but %v is possible", *got.LongestDays, since)
					}
					if !sloppy && (got.LongestDays == nil || *got.LongestDays != since) {
						t.Errorf("longest %v, want %v", got.LongestDays, since)
					}
				}
			})
		})
	}
}

// lastCounted returns the lives without the fruit that ripened after the last count, which no record speaks of.
func lastCounted(d *drawn) lives {
	last := 0
	for i := range d.steps {
		if d.steps[i].counted {
			last = i
		}
	}
	known := lives{}
	for _, l := range allLives(d.steps, false) {
		m := slices.Clone(l)
		clear(m[2*(last+1):])
		known.add(m)
	}
	return known
}
