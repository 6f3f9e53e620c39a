package ledger

import "slices"

// StandingAfter returns what is left at each stage of the fruit that the count at a position of Visits found, after the
// first n of the removals that came after it in the order of Removals; nil where it isn't known. With n zero it is the
// count's Standing. After the last count and all removals its sum is Totals.Standing, of a plant that was removed
// Totals.LeftAtRemoval, wherever every stage is known.
//
// What ripened since the count isn't followed: fruit stays at the stage at which it was counted until it is taken. Only
// where more was taken of a stage than stood there, the others came from the stage before it.
func (b *Book) StandingAfter(visit, n int) []*int {
	e, after := &b.Visits[visit], b.since(visit)[:n]
	if n == 0 {
		return slices.Clone(e.Standing)
	}
	left := b.stageLeft(e, after)
	for i := range after {
		switch r := &after[i]; {
		case r.Sure && r.Counted || r.Counted && r.Fruits == 0:
		case r.Stage < 0:
			clear(left)
		default:
			left[r.Stage] = nil // any number may have gone
		}
	}
	return left
}

// StandingAtLeastAfter returns lower bounds of what is left at each stage, where StandingAfter may not know it; the same number where it does.
// Fruit taken of an unknown stage, or of the plant's unit, may all have been of any stage, and where more was taken of a stage than its bound the
// others may have come from the stages before it.
func (b *Book) StandingAtLeastAfter(visit, n int) []int {
	least := slices.Clone(b.Visits[visit].StandingAtLeast)
	for _, r := range b.since(visit)[:n] {
		switch {
		case !r.Counted:
			clear(least) // any number may have gone
		case r.Stage < 0 || !r.Sure:
			for s := range least {
				least[s] = max(0, least[s]-r.Fruits)
			}
		default:
			fruits := r.Fruits
			for s := r.Stage; s >= 0; s-- {
				taken := min(least[s], fruits)
				least[s], fruits = least[s]-taken, fruits-taken
			}
		}
	}
	for s, known := range b.StandingAfter(visit, n) {
		if known != nil {
			least[s] = *known
		}
	}
	return least
}

// stageLeft turns what is left at or beyond each stage into what is left at it.
func (b *Book) stageLeft(e *Entry, after []Removal) []*int {
	cumulative := b.left(e, after)
	n := len(cumulative)
	out := make([]*int, n)
	beyond := 0 // left beyond the stage, which what is left at or beyond it can't be less than
	for s := n - 1; s >= 0; s-- {
		told := e.AtOrBeyond[s] != nil && (s == n-1 || e.AtOrBeyond[s+1] != nil)
		if !told {
			out[s] = ownLeft(e, after, s)
		}
		if e.AtOrBeyond[s] == nil {
			continue
		}
		reached := max(cumulative[s].fruits, beyond)
		if told && cumulative[s].known && (s == n-1 || cumulative[s+1].known) {
			out[s] = new(reached - beyond)
		}
		beyond = reached
	}
	if e.AtOrBeyond[0] != nil && beyond != cumulative[0].fruits {
		clear(out) // less is left in all than would be of the riper stages: which of them went isn't known
	}
	return out
}

// ownLeft is what is left at a stage that was counted beside one that wasn't.
func ownLeft(e *Entry, after []Removal, stage int) *int {
	if e.Standing[stage] == nil {
		return nil
	}
	left := *e.Standing[stage]
	for i := range after {
		if r := &after[i]; r.Stage == stage && r.Sure && r.Counted {
			left -= r.Fruits
		}
	}
	if left < 0 {
		return nil
	}
	return &left
}
