package ledger_test

import "vinetally/analytics/ledger"

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
	for i := range b.Visits {
		e := &b.Visits[i]
		for s := range n {
			atLeast(t, i, s, "standing", e.Standing[s], e.StandingAtLeast[s])
			atLeast(t, i, s, "at or beyond", e.AtOrBeyond[s], e.AtOrBeyondAtLeast[s])
			atLeast(t, i, s, "ever reached", e.EverReached[s], e.EverReachedAtLeast[s])
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
		}
		if b.Totals.SetAtLeast < e.EverReachedAtLeast[0] {
			t.Errorf("set at least %d, but visit %d accounts for %d", b.Totals.SetAtLeast, i, e.EverReachedAtLeast[0])
		}
		sumUnaccounted += e.Unaccounted[0]
		if len(e.Coverage) == 0 || len(e.Rows) == 0 || e.VisitID != e.Rows[0] {
			t.Errorf("visit %d: coverage %v, rows %v, id %v", i, e.Coverage, e.Rows, e.VisitID)
		}
	}
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
