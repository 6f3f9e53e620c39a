package report

import (
	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// unitTaken is a picking or loss of a whole unit: so many fruit of its plants together.
type unitTaken struct {
	fruits int
	open   bool // some plant of it has an exact count before and none after it
	all    bool // every plant of it has
}

// standTogether narrows what stands on the counted plants together. What was taken of a whole unit may be of any of its plants, so each
// plant's lower bound is less all of it; of the plants together it is gone once. It surely was of these plants if they are all of the
// season's.
func standTogether(plants []Plant, all bool) (low int, high *int) {
	units := map[crop.ID]unitTaken{}
	high = new(0)
	apart, together := 0, 0 // lower bounds, before what the units lost
	for i := range plants {
		b := &plants[i].Book
		stood, exact := standingButForUnits(b)
		for j := range b.Removals {
			r := &b.Removals[j]
			if r.Sure || !r.Counted {
				continue
			}
			u, seen := units[r.ID]
			since := exact && r.Interval == len(b.Visits)
			units[r.ID] = unitTaken{fruits: r.Fruits, open: u.open || since, all: since && (u.all || !seen)}
		}
		if len(b.Visits) == 0 {
			continue // nothing is known to stand there
		}
		apart += b.Totals.StandingAtLeast
		if exact {
			together += stood
		} else {
			together += b.Totals.StandingAtLeast
		}
		switch most := b.Totals.StandingAtMost; {
		case most == nil:
			high = nil
		case high != nil:
			*high += *most
		}
	}
	for _, u := range units {
		if u.open {
			together -= u.fruits
		}
		if u.all && all && high != nil {
			*high -= u.fruits
		}
	}
	low = max(apart, together)
	if high != nil && *high < low { // more was taken of a unit than stood on its plants
		high = nil
	}
	return low, high
}

// standingButForUnits is what would stand if nothing of its unit's pickings and losses had been of the plant; exact is false where
// its last count or what was taken since leaves that open.
func standingButForUnits(b *ledger.Book) (fruits int, exact bool) {
	if b.Totals.Standing != nil {
		return *b.Totals.Standing, !b.Removed
	}
	n := len(b.Visits)
	if n == 0 || b.Visits[n-1].AtOrBeyond[0] == nil || b.Totals.StandingAtMost == nil {
		return 0, false
	}
	for i := range b.Removals {
		if r := &b.Removals[i]; r.Interval == n && !r.Counted {
			return 0, false
		}
	}
	return *b.Totals.StandingAtMost, true
}
