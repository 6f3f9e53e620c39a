package ledger_test

import (
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// reporter is what a test and a property have in common.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

// checkInvariants checks what holds of every ledger, whatever was recorded.
func checkInvariants(t reporter, b *ledger.Book) {
	t.Helper()
	n := len(b.Scale)
	removed, sumUnaccounted := make([]int, n), 0
	var accounted []int // in all, by each count on its own
	for i := range b.Visits {
		e := &b.Visits[i]
		for s := range n {
			atLeast(t, i, s, "standing", e.Standing[s], e.StandingAtLeast[s])
			atLeast(t, i, s, "at or beyond", e.AtOrBeyond[s], e.AtOrBeyondAtLeast[s])
			atLeast(t, i, s, "ever reached", e.EverReached[s], e.EverReachedAtLeast[s])
			atMost(t, i, s, "standing", e.Standing[s], e.StandingAtLeast[s], e.StandingAtMost[s])
			atMost(t, i, s, "at or beyond", e.AtOrBeyond[s], e.AtOrBeyondAtLeast[s], e.AtOrBeyondAtMost[s])
			atMost(t, i, s, "ever reached", e.EverReached[s], e.EverReachedAtLeast[s], e.EverReachedAtMost[s])
			if e.Unaccounted[s] < 0 || e.Picked[s] < 0 || e.Lost[s] < 0 {
				t.Errorf("visit %d stage %d: negative: %+v", i, s, e)
			}
			for u := range s + 1 {
				removed[u] += e.Picked[s] + e.Lost[s]
			}
		}
		for s := range n {
			if x := e.EverReached[s]; x != nil {
				if e.AtOrBeyond[s] == nil || *x != *e.AtOrBeyond[s]+removed[s] {
					t.Errorf("visit %d stage %d: ever reached %d, want standing %v + removed %d", i, s, *x, e.AtOrBeyond[s], removed[s])
				}
			}
			if s > 0 {
				falling(t, i, s, e)
			}
			if e.Standing[s] == nil && e.StandingAtLeast[s] > e.AtOrBeyondAtLeast[s] {
				t.Errorf("visit %d stage %d: at least %d stand, at or beyond it at least %d", i, s, e.StandingAtLeast[s], e.AtOrBeyondAtLeast[s])
			}
		}
		accounted = append(accounted, e.AtOrBeyondAtLeast[0]+sureBefore(b, i))
		sumUnaccounted += e.Unaccounted[0]
		if len(e.Coverage) == 0 || len(e.Rows) == 0 || e.VisitID != e.Rows[0] {
			t.Errorf("visit %d: coverage %v, rows %v, id %v", i, e.Coverage, e.Rows, e.VisitID)
		}
	}
	checkSet(t, b, accounted)
	checkBalance(t, b)
	checkStandingAfter(t, b)
	checkDropsNamedOnce(t, b)
	checkSentences(t, b)
	if b.Totals.Unaccounted < 0 || b.Totals.Unaccounted > sumUnaccounted {
		t.Errorf("unaccounted in all %d, want 0 to the sum over visits, %d", b.Totals.Unaccounted, sumUnaccounted)
	}
	if x := b.Totals.Standing; x != nil && (*x < 0 || b.Totals.StandingAtLeast > *x) {
		t.Errorf("standing %d, at least %d", *x, b.Totals.StandingAtLeast)
	}
	for i, c := range b.Contradictions {
		if c.Fruits <= 0 || c.Detail == "" || c.Stage == "" || c.WithinAllowance != (c.Fruits <= c.Allowance) {
			t.Errorf("contradiction %d: %+v", i, c)
		}
		if i > 0 && c.At.At.Before(b.Contradictions[i-1].At.At) {
			t.Errorf("contradictions are out of order at %d", i)
		}
	}
}

// sureBefore is the fruit that surely were of this plant and gone before a count, by records that aren't doubted.
func sureBefore(b *ledger.Book, visit int) int {
	n := 0
	for _, r := range b.Removals {
		if r.Interval <= visit && r.Sure && !r.Doubted {
			n += r.Fruits
		}
	}
	return n
}

// checkSet checks the bound of fruit set against the plain rule: no more than the most that a count accounts for or that
// stand and are gone, no less than the second most, the last count, or what stands and is gone.
func checkSet(t reporter, b *ledger.Book, accounted []int) {
	t.Helper()
	set, out := b.Totals.SetAtLeast, sureBefore(b, len(b.Visits))
	if !b.Removed {
		out += b.Totals.StandingAtLeast
	}
	low, high := out, out
	if n := len(accounted); n > 0 {
		low = max(low, accounted[n-1])
		slices.Sort(accounted)
		high = max(high, accounted[n-1])
		if n > 1 {
			low = max(low, accounted[n-2])
		}
	}
	if left := b.Totals.LeftAtRemoval; left != nil {
		high = max(high, out+*left)
	}
	if set < low || set > high && !b.Removed {
		t.Errorf("set at least %d, want %d to %d", set, low, high)
	}
}

// checkBalance adds up the season again, from the counts and the removals, and holds each stage's account to it.
func checkBalance(t reporter, b *ledger.Book) {
	t.Helper()
	total := &b.Totals
	for s, x := range total.Balance {
		if x == nil {
			continue
		}
		if x.EverReached != x.Standing+x.Picked+x.Lost+x.Unaccounted+x.LeftAtRemoval {
			t.Errorf("stage %d doesn't close: %+v", s, *x)
		}
		picked, lost := sumFrom(b.SinceLastCount.Picked, s), sumFrom(b.SinceLastCount.Lost, s)
		highest := 0
		for i := range b.Visits {
			e := &b.Visits[i]
			picked, lost = picked+sumFrom(e.Picked, s), lost+sumFrom(e.Lost, s)
			highest = max(highest, e.EverReachedAtLeast[s])
		}
		if x.Picked != picked || x.Lost != lost {
			t.Errorf("stage %d: picked %d and lost %d, the intervals have %d and %d", s, x.Picked, x.Lost, picked, lost)
		}
		last := &b.Visits[len(b.Visits)-1]
		if x.EverReached < highest || x.EverReached < *last.EverReached[s]+x.Unaccounted {
			t.Errorf("stage %d: ever reached %d, but a count has %d and the last %d with %d missing", s, x.EverReached, highest, *last.EverReached[s], x.Unaccounted)
		}
		if x.Standing < 0 || x.Unaccounted < 0 || x.LeftAtRemoval < 0 {
			t.Errorf("stage %d: negative: %+v", s, *x)
		}
	}
	x := firstOf(total.Balance)
	if x == nil {
		return
	}
	if total.Standing == nil || *total.Standing != x.Standing || total.Unaccounted != x.Unaccounted || total.SetAtLeast > x.EverReached {
		t.Errorf("totals %+v don't agree with the balance %+v", *total, *x)
	}
}

// checkDropsNamedOnce: a count names what it lacks once, and never more than it wrote off.
func checkDropsNamedOnce(t reporter, b *ledger.Book) {
	t.Helper()
	named := map[crop.ID]int{}
	for _, c := range b.Contradictions {
		if c.Code != ledger.FewerThanExpected && c.Code != ledger.FewerThanSeen {
			continue
		}
		i := slices.IndexFunc(b.Visits, func(e ledger.Entry) bool { return e.VisitID == c.VisitID })
		if c.Fruits > b.Visits[i].Unaccounted[0] {
			t.Errorf("visit %d lacks %d fruit and %s names %d", i, b.Visits[i].Unaccounted[0], c.Code, c.Fruits)
		}
		if named[c.VisitID]++; named[c.VisitID] > 1 {
			t.Errorf("visit %d has two contradictions of the same drop: %+v", i, b.Contradictions)
		}
	}
}

func firstOf(all []*ledger.Balance) *ledger.Balance {
	if len(all) == 0 {
		return nil
	}
	return all[0]
}

func sumFrom(v []int, from int) int {
	n := 0
	for _, x := range v[from:] {
		n += x
	}
	return n
}

func atLeast(t reporter, visit, stage int, what string, exact *int, low int) {
	t.Helper()
	if low < 0 || exact != nil && low != *exact {
		t.Errorf("visit %d stage %d: %s: at least %d, exact %v", visit, stage, what, low, deref(exact))
	}
}

func falling(t reporter, i, s int, e *ledger.Entry) {
	t.Helper()
	if a, b := e.EverReached[s-1], e.EverReached[s]; a != nil && b != nil && *b > *a {
		t.Errorf("visit %d: ever reached rises from %d to %d at stage %d", i, *a, *b, s)
	}
	if a, b := e.AtOrBeyond[s-1], e.AtOrBeyond[s]; a != nil && b != nil && *b > *a {
		t.Errorf("visit %d: at or beyond rises from %d to %d at stage %d", i, *a, *b, s)
	}
	if e.EverReachedAtLeast[s] > e.EverReachedAtLeast[s-1] || e.AtOrBeyondAtLeast[s] > e.AtOrBeyondAtLeast[s-1] {
		t.Errorf("visit %d stage %d: a lower bound rises along the scale: %v, %v", i, s, e.EverReachedAtLeast, e.AtOrBeyondAtLeast)
	}
}

func deref(x *int) any {
	if x == nil {
		return "unknown"
	}
	return *x
}

func atMost(t reporter, visit, stage int, what string, exact *int, low int, high *int) {
	t.Helper()
	if exact != nil && (high == nil || *high != *exact) || high != nil && *high < low {
		t.Errorf("visit %d stage %d: %s: at least %d, at most %v, exact %v", visit, stage, what, low, deref(high), deref(exact))
	}
}
