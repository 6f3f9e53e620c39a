package ledger

import (
	"vinetally/analytics/crop"
)

func (b *Book) total(r *crop.PlantRecords, all []event, run *running) {
	t := &b.Totals
	b.totalPickings(r)
	b.totalLosses(r)
	for i := range b.Removals {
		if x := &b.Removals[i]; x.Doubted {
			t.TakenInDoubt += x.Fruits
		}
	}
	left := b.leftNow()
	missing := run.shortfalls(left)
	t.Unaccounted = missing[0]
	t.Balance = b.balance(run, left, missing)
	gone := run.removed[0]
	witnesses := b.witnesses(all, run)
	t.Standing, t.StandingAtLeast = b.standing(left, witnesses)
	t.SetAtLeast = b.setAtLeast(witnesses, gone)
	b.totalAtMost()
	if r.Plant != nil && r.Plant.RemovedOn != nil && !b.stoodAfter(*r.Plant.RemovedOn) {
		b.Removed = true
		t.LeftAtRemoval = t.Standing
		t.Standing, t.StandingAtLeast, t.StandingAtMost = new(0), 0, new(0)
		for _, x := range t.Balance {
			if x != nil {
				x.LeftAtRemoval, x.Standing = x.Standing, 0
			}
		}
	}
}

func (b *Book) totalPickings(r *crop.PlantRecords) {
	t := &b.Totals
	for i := range r.Pickings {
		p := &r.Pickings[i]
		if p.Fruits == nil {
			t.WeighedOnly++
			continue
		}
		fruits := max(0, *p.Fruits)
		t.Picked += fruits
		if p.Grade == crop.Cull {
			t.PickedCull += fruits
		} else {
			t.PickedMarketable += fruits
		}
	}
	for i := range r.UnitPickings {
		if p := &r.UnitPickings[i]; p.Fruits == nil {
			t.WeighedOnly++
		} else {
			t.UnitFruit += max(0, *p.Fruits)
		}
	}
}

func (b *Book) totalLosses(r *crop.PlantRecords) {
	t := &b.Totals
	byCause := map[crop.Cause]int{}
	for i := range r.Losses {
		if l := &r.Losses[i]; l.Fruits != nil {
			fruits := max(0, *l.Fruits)
			t.Lost += fruits
			byCause[l.Cause] += fruits
		}
	}
	for _, cause := range crop.Causes() {
		if n := byCause[cause]; n > 0 {
			t.LostByCause = append(t.LostByCause, CauseCount{Cause: cause, Fruits: n})
		}
	}
	for i := range r.UnitLosses {
		if l := &r.UnitLosses[i]; l.Fruits != nil {
			t.UnitFruit += max(0, *l.Fruits)
		}
	}
}

// standing is what is left of the last count, where that is known, and a lower bound by the rule of bound: what stood at a
// count, less all that may have been taken since, less what later counts missed.
func (b *Book) standing(left []remaining, witnesses []witness) (exact *int, atLeast int) {
	after := struct{ sure, unsure, missed int }{}
	var most bound
	next := len(b.Removals)
	for i := len(b.Visits) - 1; i >= 0; i-- {
		for ; next > 0 && b.Removals[next-1].Interval > i; next-- {
			switch r := &b.Removals[next-1]; {
			case !r.Counted:
				return nil, most.least()
			case r.Sure:
				after.sure += r.Fruits
			default:
				after.unsure += r.Fruits
			}
		}
		if i == len(b.Visits)-1 && b.Visits[i].AtOrBeyond[0] != nil && after.unsure == 0 {
			if left[0].known {
				return new(left[0].fruits), left[0].fruits
			}
			return nil, left[0].atLeast
		}
		gone := after.sure + after.unsure + after.missed
		most.add(witnesses[i].stood-gone, witnesses[i].stands-gone)
		after.missed += b.Visits[i].Unaccounted[0]
	}
	return nil, most.least()
}

// stoodAfter tells whether fruit was counted on a later day than this; then the plant wasn't removed on it.
func (b *Book) stoodAfter(day crop.Date) bool {
	for i := range b.Visits {
		e := &b.Visits[i]
		if e.CountedAt.LocalDate().After(day) && max(e.AtOrBeyondAtLeast[0], countedSum(e.Counted)) > 0 {
			return true
		}
	}
	return false
}
