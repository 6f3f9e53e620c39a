package ledger

import "vinetally/analytics/crop"

func (b *Book) total(r *crop.PlantRecords, run *running) {
	t := &b.Totals
	t.SetAtLeast, t.Unaccounted = run.set, run.shortfall()
	b.totalPickings(r)
	b.totalLosses(r)
	t.Standing, t.StandingAtLeast = b.standing()
	if r.Plant != nil && r.Plant.RemovedOn != nil && !b.stoodAfter(*r.Plant.RemovedOn) {
		b.Removed = true
		t.LeftAtRemoval = t.Standing
		t.Standing, t.StandingAtLeast = new(0), 0
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

// standing is the last count less what was taken since, where both are known, and the best lower bound that any count
// gives: what stood at it, less all that may have been taken since, less what later counts missed.
func (b *Book) standing() (exact *int, atLeast int) {
	after := struct{ sure, unsure, missed int }{}
	uncounted := false
	next := len(b.Removals)
	for i := len(b.Visits) - 1; i >= 0; i-- {
		for next > 0 && b.Removals[next-1].Interval > i {
			next--
			switch r := &b.Removals[next]; {
			case !r.Counted:
				uncounted = true
			case r.Sure:
				after.sure += r.Fruits
			default:
				after.unsure += r.Fruits
			}
		}
		if uncounted {
			break
		}
		e := &b.Visits[i]
		if i == len(b.Visits)-1 && e.AtOrBeyond[0] != nil && after.unsure == 0 {
			left := max(0, *e.AtOrBeyond[0]-after.sure)
			return &left, left
		}
		atLeast = max(atLeast, e.AtOrBeyondAtLeast[0]-after.sure-after.unsure-after.missed)
		after.missed += e.Unaccounted[0]
	}
	return nil, atLeast
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
