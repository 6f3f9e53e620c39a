package main

import (
	"fmt"
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// ledgerFaults returns what doesn't add up in a plant's ledger, whose numbers are worked out here another way: from the
// records alone, and from the counts and removals of the book. Records that contradict each other are no fault: they are
// told in reports.
func ledgerFaults(t *crop.Trial, plant crop.ID) (faults []string) {
	all := t.ByPlant()
	at := slices.IndexFunc(all, func(r crop.PlantRecords) bool { return r.Plant != nil && r.Plant.ID == plant })
	if at < 0 {
		return []string{"its records don't come together to a ledger"}
	}
	b := ledger.Of(all[at])
	want := func(what string, got, want int) {
		if got != want {
			faults = append(faults, fmt.Sprintf("the ledger doesn't add up: %s is %d, and worked out another way %d", what, got, want))
		}
	}
	picked, lost := takenFrom(&all[at])
	want("all that was picked", b.Totals.Picked, picked)
	want("all that was lost", b.Totals.Lost, lost)
	want("what was picked, by grade", b.Totals.PickedMarketable+b.Totals.PickedCull, picked)
	byCause := 0
	for _, c := range b.Totals.LostByCause {
		byCause += c.Fruits
	}
	want("what was lost, by cause", byCause, lost)
	removed := make([]int, len(b.Scale)) // at or beyond each stage, up to the count
	for i := range b.Visits {
		e := &b.Visits[i]
		for s := range b.Scale {
			removed[s] += sum(e.Picked[s:]) + sum(e.Lost[s:])
			if e.EverReached[s] != nil && e.AtOrBeyond[s] != nil {
				want(fmt.Sprintf("%s ever reached by the count of %s", b.Scale[s], e.CountedAt), *e.EverReached[s], *e.AtOrBeyond[s]+removed[s])
			}
		}
	}
	for s, x := range b.Totals.Balance {
		if x == nil {
			continue
		}
		want(b.Scale[s]+" ever reached", x.EverReached, x.Standing+x.Picked+x.Lost+x.Unaccounted+x.LeftAtRemoval)
		want("picked at or beyond "+b.Scale[s], x.Picked, sum(b.SinceLastCount.Picked[s:])+intervals(&b, s, func(e *ledger.Entry) []int { return e.Picked }))
		want("lost at or beyond "+b.Scale[s], x.Lost, sum(b.SinceLastCount.Lost[s:])+intervals(&b, s, func(e *ledger.Entry) []int { return e.Lost }))
	}
	return faults
}

// takenFrom sums the fruit of known number that were picked and lost of the plant itself.
func takenFrom(r *crop.PlantRecords) (picked, lost int) {
	for i := range r.Pickings {
		if n := r.Pickings[i].Fruits; n != nil {
			picked += *n
		}
	}
	for i := range r.Losses {
		if n := r.Losses[i].Fruits; n != nil {
			lost += *n
		}
	}
	return picked, lost
}

func intervals(b *ledger.Book, stage int, of func(*ledger.Entry) []int) (n int) {
	for i := range b.Visits {
		n += sum(of(&b.Visits[i])[stage:])
	}
	return n
}

func sum(v []int) (n int) {
	for _, x := range v {
		n += x
	}
	return n
}
