package ledger_test

import (
	"fmt"
	"strings"
	"testing"

	"vinetally/analytics/ledger"
	"vinetally/analytics/ledger/ledgertest"
)

// checkStandingAfter: what is left after a count begins with the count and ends with the totals.
func checkStandingAfter(t reporter, b *ledger.Book) {
	t.Helper()
	for i := range b.Visits {
		if got, want := eachOf(b.StandingAfter(i, 0)), eachOf(b.Visits[i].Standing); got != want {
			t.Errorf("visit %d: %s stand before anything was taken, want %s as counted", i, got, want)
		}
		for n := range between(b, i) + 1 {
			for s, x := range b.StandingAfter(i, n) {
				if x != nil && *x < 0 {
					t.Errorf("visit %d after %d removals, stage %d: %d stand", i, n, s, *x)
				}
			}
		}
	}
	if len(b.Visits) == 0 {
		return
	}
	last := len(b.Visits) - 1
	sum := 0
	for _, x := range b.StandingAfter(last, between(b, last)) {
		if x == nil {
			return
		}
		sum += *x
	}
	total := b.Totals.Standing
	if b.Removed {
		total = b.Totals.LeftAtRemoval
	}
	if total == nil && b.Visits[last].AtOrBeyond[0] == nil {
		return // rows of one time that disagree on the sum and not on the stages
	}
	if total == nil || *total != sum {
		t.Errorf("%d stand stage by stage at the end, the totals have %v", sum, eachOf([]*int{total}))
	}
}

// between is the number of removals between a count and the next.
func between(b *ledger.Book, visit int) int {
	n := 0
	for i := range b.Removals {
		if b.Removals[i].Interval == visit+1 {
			n++
		}
	}
	return n
}

func eachOf(all []*int) string {
	parts := make([]string, len(all))
	for i, x := range all {
		parts[i] = "?"
		if x != nil {
			parts[i] = fmt.Sprint(*x)
		}
	}
	return strings.Join(parts, " ")
}

// TestStandingAfter works out by hand what is left of a count, stage by stage (green, breaker, turning, red).
func TestStandingAfter(t *testing.T) {
	const counted = "plant A1\ncount 2026-02-01T08:00:00Z green=10 breaker=4 turning=0 red=3\n"
	for name, c := range map[string]struct{ script, want string }{
		"nothing taken":                           {counted, "10 4 0 3"},
		"two of three red":                        {counted + "pick 2026-02-01T09:00:00Z red 2", "10 4 0 1"},
		"a loss of green too":                     {counted + "pick 2026-02-03 red 2\nloss 2026-02-04 green 1 dropped", "9 4 0 1"},
		"five red days later: two were breaker":   {counted + "pick 2026-02-03 red 5", "10 2 0 0"},
		"two turning days later, were breaker":    {counted + "pick 2026-02-03 turning 2", "10 2 0 3"},
		"nine red: six others, two of them green": {counted + "pick 2026-02-05 red 9", "8 0 0 0"},
		"four red on the day, one was overlooked": {counted + "pick 2026-02-01T09:00:00Z red 4", "10 4 0 0"},
		"weighed only":                            {counted + "pick 2026-02-03 red ?", "10 4 0 ?"},
		"red not counted, one taken":              {"plant A1\ncount 2026-02-01 green=10 breaker=4\npick 2026-02-03 red 1\npick 2026-02-03 green 1", "9 4 ? ?"},
		"more green taken than stood beside it":   {"plant A1\ncount 2026-02-01 green=1 breaker=4\npick 2026-02-03 green 2", "? 4 ? ?"},
	} {
		script, err := ledgertest.Parse(c.script)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		b := ledger.Of(script.Records)
		if got := eachOf(b.StandingAfter(0, between(&b, 0))); got != c.want {
			t.Errorf("%s: %s stand, want %s", name, got, c.want)
		}
	}
}
