package ledger

import "vinetally/analytics/crop"

// Of makes the ledger of one plant from its records, whatever their order. Records after the moment of interest must be
// filtered out before (see crop.Trial.AsOf); a removal date is taken as a fact.
//
// Pickings that were weighed and not counted, and records of a unit that the plant belongs to, leave it open how many of
// its fruit went. From then on EverReached of the stages concerned is nil and the bounds go on without them. Falls are
// still found between counts with no such record between them, and between counts with unit records when the fall is
// larger than all that the unit lost.
func Of(r crop.PlantRecords) Book {
	b := Book{Ripe: -1}
	if r.Plant != nil {
		b.PlantID, b.Plant = r.Plant.ID, r.Plant.Label
	}
	if r.Scale == nil || len(r.Scale.Stages) == 0 {
		b.Warnings = []string{"This plant's ripeness scale isn't known, so its fruit can't be accounted for."}
		return b
	}
	b.Scale, b.Ripe = r.Scale.Names(), r.Scale.Ripe()
	all, counts := events(&r), moments(r.Visits)
	b.Visits = make([]Entry, 0, len(counts))
	b.Removals = make([]Removal, 0, len(all))
	run := newRunning(len(b.Scale))
	audit := newAudit(&b, r.Plant)
	next := 0
	for _, m := range counts {
		taken := newTaken(len(b.Scale))
		for ; next < len(all) && all[next].beforeCountAt(m.at); next++ {
			b.remove(&all[next], run, &taken)
		}
		seen, conflict := observe(m, r.Scale)
		entry := newEntry(m, &seen, taken)
		if seen.trusses {
			entry.Estimate = expand(m, r.Scale)
		}
		falls := run.count(&entry, len(b.Visits))
		b.Visits = append(b.Visits, entry)
		audit.count(falls, conflict)
	}
	b.SinceLastCount = newTaken(len(b.Scale))
	for ; next < len(all); next++ {
		b.remove(&all[next], run, &b.SinceLastCount)
	}
	audit.judge()
	audit.removals()
	b.total(&r, all, run)
	b.warn(&r)
	return b
}

// OfAll makes the ledgers of several plants, in their order.
func OfAll(all []crop.PlantRecords) []Book {
	books := make([]Book, len(all))
	for i := range all {
		books[i] = Of(all[i])
	}
	return books
}

func (e *event) beforeCountAt(count crop.Moment) bool {
	if c := e.At.At.Compare(count.At); c != 0 {
		return c < 0
	}
	return e.phase == beforeCount
}

// remove books one removal in the interval that is open.
func (b *Book) remove(e *event, run *running, taken *Taken) {
	e.Interval = len(b.Visits)
	b.Removals = append(b.Removals, e.Removal)
	run.remove(e)
	if e.sure < 0 {
		return
	}
	if e.Picked {
		taken.Picked[e.sure] += e.Fruits
	} else {
		taken.Lost[e.sure] += e.Fruits
	}
}

func newTaken(n int) Taken {
	both := make([]int, 2*n)
	return Taken{Picked: both[:n:n], Lost: both[n:]}
}

func newEntry(m moment, o *observation, taken Taken) Entry {
	n := len(o.counted)
	pointers, ints := make([]*int, 2*n), make([]int, 2*n)
	e := Entry{
		VisitID: m.rows[0].ID, Rows: make([]crop.ID, len(m.rows)), CountedAt: m.at, Coverage: o.coverage(),
		Counted: o.counted, Standing: o.standing, StandingAtLeast: o.atLeast,
		AtOrBeyond: o.beyond, AtOrBeyondAtLeast: o.beyondAtLeast, StandingAtMost: o.atMost, AtOrBeyondAtMost: o.beyondAtMost,
		EverReached: pointers[:n:n], EverReachedAtMost: pointers[n:], EverReachedAtLeast: ints[:n:n], Unaccounted: ints[n:],
		Picked: taken.Picked, Lost: taken.Lost,
	}
	for i, v := range m.rows {
		e.Rows[i] = v.ID
	}
	return e
}
