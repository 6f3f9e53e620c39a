package pastripe

import (
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// vine answers what of the ripe fruit counted still hangs. Stages are positions on the scale, from the ripe one on.
type vine struct {
	book *ledger.Book
	// told is, by stage, the position of the last count that told the fruit at or beyond it, -1 for none.
	told []int
}

func newVine(b *ledger.Book) *vine {
	v := &vine{book: b, told: make([]int, len(b.Scale))}
	for s := range v.told {
		v.told[s] = -1
		for i := range b.Visits {
			if b.Visits[i].AtOrBeyond[s] != nil {
				v.told[s] = i
			}
		}
	}
	return v
}

// reaches tells whether a removal may have taken fruit at or beyond stage s.
func reaches(r *ledger.Removal, s int) bool { return r.Stage < 0 || r.Stage >= s }

// after tells whether a removal came after count i, or may have: a time and a day alone on one day can't be ordered,
// unless the day alone was settled on the time of the count.
func (v *vine) after(r *ledger.Removal, i int) bool {
	if r.Interval > i {
		return true
	}
	return unordered(r.At, v.book.Visits[i].CountedAt)
}

func unordered(a, b crop.Moment) bool {
	return a.TimeKnown() != b.TimeKnown() && a.LocalDate() == b.LocalDate() && !a.At.Equal(b.At)
}

// taken is the fruit at or beyond s that may have been removed after count i; ok is false where it may be any number.
func (v *vine) taken(i, s int) (fruit int, ok bool) {
	for j := range v.book.Removals {
		r := &v.book.Removals[j]
		if !reaches(r, s) || !v.after(r, i) {
			continue
		}
		if !r.Counted {
			return 0, false
		}
		fruit += r.Fruits
	}
	return fruit, true
}

// missing is the fruit at or beyond s that later counts missed. Where a later count didn't tell that fruit apart, all that
// it missed may have been of it, until a count tells.
func (v *vine) missing(i, s int) int {
	n := 0
	for w := i + 1; w < len(v.book.Visits); w++ {
		if w > v.told[s] {
			n += v.book.Visits[w].Unaccounted[0]
		} else {
			n += v.book.Visits[w].Unaccounted[s]
		}
	}
	return n
}

// sure is the most fruit that must still hang ripe of the ripe fruit at one of the counts that qualify. Of an earlier count
// no more can be left than a later exact one leaves; otherwise fruit went that no formula of falls has seen. A count that the
// ledger doubts bears nothing: it may have been too high, and fruit that ripened since would pass for it.
func (v *vine) sure(qualifies func(*ledger.Entry) bool) int {
	best := 0
	for s := v.book.Ripe; s < len(v.book.Scale); s++ {
		ceiling, capped := 0, false
		for i := len(v.book.Visits) - 1; i >= 0; i-- {
			e := &v.book.Visits[i]
			taken, ok := v.taken(i, s)
			if !ok {
				continue
			}
			left := e.AtOrBeyondAtLeast[s] - taken - v.missing(i, s)
			if capped {
				left = min(left, ceiling)
			}
			if qualifies(e) && !e.DoubtedAt(s) {
				best = max(best, left)
			}
			if x := e.AtOrBeyond[s]; x != nil && (!capped || *x-taken < ceiling) {
				ceiling, capped = *x-taken, true
			}
		}
	}
	return best
}

// standing is the ripe fruit of the last count less what was taken since, where that is known, and what hangs at least. After
// more was picked than stood, beyond what a miscount explains, the count or the picking is wrong, and it isn't known.
func (v *vine) standing() (exact *int, atLeast int) {
	last := len(v.book.Visits) - 1
	if last >= 0 && v.book.Visits[last].AtOrBeyond[v.book.Ripe] != nil && v.sureSince(last) && !v.overPicked(last) {
		left := 0
		for s := v.book.Ripe; s < len(v.book.Scale); s++ {
			if x := v.book.Visits[last].AtOrBeyond[s]; x != nil {
				left = max(left, *x-v.since(last, s))
			}
		}
		return &left, left
	}
	return nil, v.sure(func(*ledger.Entry) bool { return true })
}

// overPicked tells whether more was picked after count i than stood at it, by more than a miscount explains.
func (v *vine) overPicked(i int) bool {
	return slices.ContainsFunc(v.book.Contradictions, func(c ledger.Contradiction) bool {
		return c.Code == ledger.PickedMoreThanStood && c.VisitID == v.book.Visits[i].VisitID && !c.WithinAllowance
	})
}

// since is the fruit at or beyond s that was removed after count i in the order of the ledger.
func (v *vine) since(i, s int) int {
	n := 0
	for j := range v.book.Removals {
		if r := &v.book.Removals[j]; r.Interval > i && reaches(r, s) {
			n += r.Fruits
		}
	}
	return n
}

// sureSince tells whether all ripe fruit removed after count i is of known number and of this plant.
func (v *vine) sureSince(i int) bool {
	for j := range v.book.Removals {
		if r := &v.book.Removals[j]; r.Interval > i && reaches(r, v.book.Ripe) && (!r.Counted || !r.Sure && r.Fruits > 0 || r.Stage < 0) {
			return false
		}
	}
	return true
}

// longest is the time in days since none hung ripe for sure, nil if there was no such moment.
func (v *vine) longest(asOf time.Time) *float64 {
	var none *time.Time
	for i := range v.book.Visits {
		e := &v.book.Visits[i]
		stood := e.AtOrBeyond[v.book.Ripe]
		switch {
		case stood == nil:
		case *stood == 0:
			none = new(earliest(e.CountedAt))
		default:
			if at := v.cleared(i, *stood); at != nil {
				none = at
			}
		}
	}
	if none == nil {
		return nil
	}
	return new(max(0, asOf.Sub(*none).Hours()/24))
}

// cleared is when, on the day of count i and after it, all ripe fruit that it had was gone; nil if that didn't happen.
func (v *vine) cleared(i, stood int) *time.Time {
	count := v.book.Visits[i].CountedAt
	for j := range v.book.Removals {
		r := &v.book.Removals[j]
		if r.Interval != i+1 || !r.Sure || r.Stage < v.book.Ripe || r.At.LocalDate() != count.LocalDate() || unordered(r.At, count) {
			continue
		}
		if stood -= r.Fruits; stood > 0 {
			continue
		}
		at := earliest(r.At)
		if at.Before(earliest(count)) {
			at = earliest(count)
		}
		return &at
	}
	return nil
}

// earliest is the first instant that a moment can mean.
func earliest(m crop.Moment) time.Time {
	if m.TimeKnown() {
		return m.At
	}
	return m.Day.Start(m.At.Location())
}
