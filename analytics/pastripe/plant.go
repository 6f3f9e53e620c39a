// Package pastripe finds fruit left past ripe on the vine, by arithmetic alone: no model of ripening, no guess.
package pastripe

import (
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// Plant is what hangs ripe on one plant, and how much of it for longer than the hold time. "Ripe" is the ripe stage and
// any beyond it.
type Plant struct {
	PlantID    crop.ID
	Plant      string // its label
	CultivarID crop.ID
	HoldDays   float64 // the hold time used, calendar days

	// StandingRipe is the ripe fruit of the last count less the ripe fruit taken since, nil where the last count left it
	// open, an unknown number was taken since, or more than can have stood. Fruit that ripened after the last count is in neither.
	StandingRipe        *int
	StandingRipeAtLeast int
	// Certain is how many fruit have hung ripe for the hold time or longer, at least.
	Certain int
	// LongestDays is an upper bound on how long the oldest ripe fruit can have hung, in days of 24 hours; nil where none
	// hangs, and where it may have hung since before the first count.
	LongestDays *float64
	Warnings    []string
}

// RestsOnRecords is the sentence that goes with every certain number.
const RestsOnRecords = "What is certainly past ripe rests on the records being complete: a picking or loss that wasn't written down, or a ripe fruit " +
	"counted too soon, would lower it."

// Of finds the fruit of one plant that is past ripe at asOf. The records and their book must hold nothing later than asOf.
// The hold time is holdDays in calendar days where it is positive, else the cultivar's own, else crop.DefaultHoldDays.
//
// # Certain
//
// Let v be a count that is at least the hold time old, and N[v] the ripe fruit it counted. The fruit of N[v] still on the
// vine have all been ripe for the hold time. After v fruit left the vine only as ripe fruit picked or lost, each of which
// may or may not be one of N[v], or unseen. So of N[v] at least
//
//	N[v] − (ripe picked and lost after v) − (ripe unaccounted for after v)
//
// still hang: the removals can have taken one fruit of N[v] each and no more, whichever was picked first. The largest of
// these over all such counts v, and at least 0, is Certain. It never exceeds the ripe fruit that stand now.
//
// Wherever a record leaves room it is used against the number, so that the bound holds: an unfinished or partial count
// gives its lower bound as N[v], a rough number ("about") gives none, and neither does a count of which a later one has
// fewer than a miscount explains, since its ripe fruit may never have been there; a count dated by its day alone is as old as its day's
// end; a removal whose order to v isn't recorded (one has a time, the other is a day alone) comes after v; unit records
// count in full; a picking that was weighed and not counted leaves nothing certain from before it; where ripe fruit was
// not told apart when fruit went missing, all that is missing may have been ripe.
//
// Where a stage follows the ripe one the same argument holds at each of them, since fruit never goes back a stage and so a
// fruit taken at a stage was never beyond it; the largest bound counts.
//
// The bound is attained where the ripe stage is the last and no count missed fruit: taking the oldest first is a life that
// all such records allow, and of it no more than Certain is left past ripe. So nothing larger can be certain. With a stage
// after the ripe one the records may prove a little more (two red fruit seen soft later can't be the red ones picked
// after that), and Certain leaves it out.
//
// Fruit that went without a record and was replaced by newly ripened fruit before the next count shows in no count; then
// Certain can be too high. That is what "rests on the records being complete" means.
//
// # Longest
//
// No fruit hanging ripe now can have ripened before the last moment at which none hung ripe for sure: a count of none, or,
// after an exact count, the removal on its own day of as many ripe fruit as it had (a fruit doesn't change stage between
// a count and the picking that goes with it). LongestDays is the time since then; a day alone begins at its first moment.
func Of(r crop.PlantRecords, b ledger.Book, asOf time.Time, holdDays float64) Plant {
	p := Plant{PlantID: b.PlantID, Plant: b.Plant, HoldDays: hold(r.Cultivar, holdDays), Warnings: []string{RestsOnRecords}}
	if r.Plant != nil {
		p.CultivarID = r.Plant.CultivarID
	}
	if b.Ripe < 0 || len(b.Scale) == 0 {
		return p
	}
	if b.Removed {
		p.StandingRipe = new(0)
		return p
	}
	v := newVine(&b)
	p.StandingRipe, p.StandingRipeAtLeast = v.standing()
	certain := v.sure(func(e *ledger.Entry) bool { return !heldAt(e.CountedAt, p.HoldDays).After(asOf) })
	p.Certain = min(certain, p.StandingRipeAtLeast)
	if p.StandingRipe == nil || *p.StandingRipe > 0 {
		p.LongestDays = v.longest(asOf)
	}
	p.Warnings = append(p.Warnings, p.open(&b)...)
	return p
}
