package report

import (
	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// Totals are the season's sums over its plants.
type Totals struct {
	Plants, Counted int // plants of the season, and those with a count
	Bearing         int // counted plants on which fruit is known to stand
	Visits          int // counts
	SetAtLeast      int
	// Standing is all standing fruit of the counted plants, nil if it isn't known; StandingAtLeast is known always, StandingAtMost is
	// nil where nothing bounds it.
	Standing        *int
	StandingAtLeast int
	StandingAtMost  *int
	// Lost is fruit lost by every cause but cleared, which is fruit left on a plant that was removed.
	Lost, Cleared int
	// Left is fruit that stood on plants when they were removed and is recorded neither as picked nor as lost.
	Left int
	// Missing is fruit that the last counts show to be fewer than earlier ones and no record explains, summed over
	// plants.
	Missing int
	// Balance is the account of all counted plants, which closes exactly (see ledger.Balance); nil where some plant's isn't
	// known.
	Balance *ledger.Balance
	// Contradictions is how many places records can't all be right, beyond what miscounting by chance explains.
	Contradictions int
}

func totals(s *Season) Totals {
	t := Totals{Plants: len(s.Plants), Visits: len(s.Trial.Visits), Balance: balance(s.Plants)}
	for i := range s.Plants {
		b := &s.Plants[i].Book
		t.SetAtLeast += b.Totals.SetAtLeast
		t.Missing += b.Totals.Unaccounted
		t.Contradictions += len(Beyond(b.Contradictions))
		if left := b.Totals.LeftAtRemoval; left != nil {
			t.Left += *left
		}
		if len(b.Visits) == 0 {
			continue // never counted: nothing is known to stand there
		}
		t.Counted++
		if b.Totals.StandingAtLeast > 0 {
			t.Bearing++
		}
	}
	t.StandingAtLeast, t.StandingAtMost = standTogether(s.Plants, !s.one)
	if t.StandingAtMost != nil && *t.StandingAtMost == t.StandingAtLeast {
		t.Standing = new(t.StandingAtLeast)
	}
	for _, l := range s.Losses {
		if l.Cause == crop.Cleared {
			t.Cleared += l.Ripe + l.Unripe
		} else {
			t.Lost += l.Ripe + l.Unripe
		}
	}
	return t
}

// balance adds up the accounts of the counted plants.
func balance(plants []Plant) *ledger.Balance {
	sum := new(ledger.Balance)
	for i := range plants {
		b := &plants[i].Book
		if len(b.Visits) == 0 {
			continue
		}
		x := b.Totals.Balance[0]
		if x == nil {
			return nil
		}
		sum.EverReached += x.EverReached
		sum.Standing += x.Standing
		sum.Picked += x.Picked
		sum.Lost += x.Lost
		sum.Unaccounted += x.Unaccounted
		sum.LeftAtRemoval += x.LeftAtRemoval
	}
	return sum
}

// Beyond returns the contradictions that miscounting by chance doesn't explain.
func Beyond(all []ledger.Contradiction) []ledger.Contradiction {
	var out []ledger.Contradiction
	for _, c := range all {
		if !c.WithinAllowance {
			out = append(out, c)
		}
	}
	return out
}
