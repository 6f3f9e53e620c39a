package ledger

import (
	"cmp"
	"slices"

	"vinetally/analytics/crop"
)

// phase orders what happened at one instant.
type phase int

const (
	beforeCount phase = iota // found at the visit, or marked so
	afterCount               // the grower's own acts
)

func phaseOf(own, before bool) phase {
	if own && !before {
		return afterCount
	}
	return beforeCount
}

// event is a removal with what the ordering and the balance need. Of its n fruit, all had surely reached the stages up
// to sure, and perhaps those beyond it up to perhaps.
type event struct {
	Removal
	phase         phase
	sure, perhaps int
}

// events returns all removals of the plant by instant and phase, whatever the order of the records.
func events(r *crop.PlantRecords) []event {
	all := make([]event, 0, len(r.Pickings)+len(r.Losses)+len(r.UnitPickings)+len(r.UnitLosses))
	addPickings := func(rows []crop.Picking, sure bool) {
		for i := range rows {
			p := &rows[i]
			all = append(all, newEvent(r.Scale, Removal{ID: p.ID, At: p.PickedAt, Picked: true, Sure: sure}, p.Stage, p.Fruits,
				phaseOf(true, p.BeforeCount)))
		}
	}
	addLosses := func(rows []crop.Loss, sure bool) {
		for i := range rows {
			l := &rows[i]
			all = append(all, newEvent(r.Scale, Removal{ID: l.ID, At: l.LostAt, Cause: string(l.Cause), Sure: sure}, l.Stage, l.Fruits,
				phaseOf(!l.Cause.Found(), l.BeforeCount)))
		}
	}
	addPickings(r.Pickings, true)
	addPickings(r.UnitPickings, false)
	addLosses(r.Losses, true)
	addLosses(r.UnitLosses, false)
	slices.SortStableFunc(all, func(a, b event) int {
		return cmp.Or(a.At.At.Compare(b.At.At), cmp.Compare(a.phase, b.phase), a.ID.Compare(b.ID))
	})
	return all
}

func newEvent(scale *crop.Scale, rm Removal, stage string, fruits *int, ph phase) event {
	rm.Stage = scale.Index(stage)
	rm.Counted = fruits != nil
	if fruits != nil {
		rm.Fruits = max(0, *fruits)
	}
	e := event{Removal: rm, phase: ph, sure: rm.Stage, perhaps: rm.Stage}
	if rm.Stage < 0 { // the scale lost that stage since: the fruit was of the first stage at least
		e.sure, e.perhaps = 0, len(scale.Stages)-1
	}
	if !rm.Sure || !rm.Counted {
		e.sure = -1
	}
	return e
}

// moment is all rows of the plant that were counted at one instant.
type moment struct {
	at   crop.Moment
	rows []*crop.Visit
}

// moments groups the counts by their instant, in the order of time.
func moments(visits []crop.Visit) []moment {
	rows := make([]*crop.Visit, len(visits))
	for i := range visits {
		rows[i] = &visits[i]
	}
	slices.SortStableFunc(rows, func(a, b *crop.Visit) int {
		return cmp.Or(a.CountedAt.At.Compare(b.CountedAt.At), cmp.Compare(trussOf(a), trussOf(b)), a.ID.Compare(b.ID))
	})
	var all []moment
	for i := 0; i < len(rows); {
		end := i + 1
		for end < len(rows) && rows[end].CountedAt.At.Equal(rows[i].CountedAt.At) {
			end++
		}
		all = append(all, moment{at: rows[i].CountedAt, rows: rows[i:end]})
		i = end
	}
	return all
}

func trussOf(v *crop.Visit) int {
	if v.Truss == nil {
		return 0
	}
	return *v.Truss
}
