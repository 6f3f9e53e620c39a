package ledger

import "vinetally/analytics/crop"

// Book is the ledger of one plant. Every vector is aligned to Scale; a nil in a vector is a number that isn't known.
type Book struct {
	PlantID crop.ID
	Plant   string   // its label
	Scale   []string // stage names, unripe to ripe
	Ripe    int      // position of the ripe stage in Scale; -1 without a scale

	// Removed tells that the plant was removed and no fruit was counted on it on a later day.
	Removed bool

	Visits         []Entry // oldest first; rows counted at one time are one entry
	SinceLastCount Taken
	// Removals is every picking and loss in the order of the ledger, those of a unit that the plant belongs to included.
	Removals       []Removal
	Totals         Totals
	Contradictions []Contradiction // in the order of time
	Warnings       []string
}

// What a count covered. Whole stands alone; the others may come together.
const (
	Whole   = "whole"    // every stage of the whole plant, or its total and enough stages to tell the rest
	Trusses = "trusses"  // only some of its trusses
	Stages  = "stages"   // only some of its stages
	AtLeast = "at_least" // given up: at least so many
	About   = "about"    // a glance: neither a count nor a bound
)

// Entry is one visit.
type Entry struct {
	// VisitID is the count's id, or of several rows at one time the first of Rows.
	VisitID   crop.ID
	Rows      []crop.ID
	CountedAt crop.Moment
	Coverage  []string

	// Counted is what was recorded: truss rows are summed; of two counts at one time that disagree, the smaller number.
	Counted []*int
	// Standing is the fruit at each stage where the count tells it, StandingAtLeast a lower bound everywhere.
	// StandingAtMost is an upper bound, nil where there is none: a total whose colours weren't told apart leaves each stage between none
	// and all of it.
	Standing        []*int
	StandingAtLeast []int
	StandingAtMost  []*int
	// Estimate is what stands at each stage by expansion from some trusses to all; nil where the count isn't one, or doesn't carry it.
	Estimate []*Estimate
	// AtOrBeyond is the standing fruit at or beyond each stage. It can be known where Standing isn't: a total alone tells
	// it for the first stage.
	AtOrBeyond        []*int
	AtOrBeyondAtLeast []int
	AtOrBeyondAtMost  []*int
	// EverReached is AtOrBeyond plus what was picked or lost at or beyond the stage before this count.
	// EverReachedAtLeast is the same where it is known; elsewhere the largest lower bound since it was last known.
	// EverReachedAtMost is AtOrBeyondAtMost plus what may have been picked or lost at most, a unit's fruit included; nil where any number
	// may have, and where it contradicts the lower bound. It rests on complete records: fruit that went unwritten isn't in it.
	EverReached        []*int
	EverReachedAtLeast []int
	EverReachedAtMost  []*int
	// Picked and Lost are of known number, by stage, in the interval that ends at this count; the first takes all before.
	Picked []int
	Lost   []int
	// Unaccounted is what this visit found missing at or beyond each stage, at least, beyond what was missed before.
	Unaccounted []int
	// Doubted tells, at or beyond each stage, that a later count has fewer than a miscount explains, measured from this one:
	// fruit went without a record, or one of the two is wrong. A lower bound should not rest on this count alone. It is nil
	// where no stage is doubted.
	Doubted []bool
}

// DoubtedAt tells whether the count is doubted at or beyond a stage.
func (e *Entry) DoubtedAt(stage int) bool { return e.Doubted != nil && e.Doubted[stage] }

// Taken is fruit picked and lost, by stage.
type Taken struct{ Picked, Lost []int }

// Removal is one picking or loss, placed in the order of the ledger.
type Removal struct {
	ID     crop.ID
	At     crop.Moment
	Stage  int    // position in Scale; -1 if the recorded stage isn't on the scale
	Picked bool   // else lost
	Fruits int    // 0 if Counted is false
	Cause  string // of a loss
	// Counted is false where fruit was weighed and not counted: any number may have gone.
	Counted bool
	// Sure is false where the record names a unit: between none and all of it is of this plant.
	Sure bool
	// Interval is the position in Visits of the count it came before; len(Visits) for what came after the last.
	Interval int
	// Doubted tells that more was taken than had stood, by more than a miscount explains, and that this record alone may be
	// why: it has the most fruit of those in question, and no fewer than were too many.
	Doubted bool
}

// Totals sums the book up.
type Totals struct {
	// SetAtLeast is how many fruit the plant has set, at least: the most ever seen standing, picked and lost together at a
	// count that no later one contradicts, or at two. One count that is too high doesn't raise it, once a later one shows
	// it, nor does one picking or loss that is doubted: TakenInDoubt is their fruit, which Picked and Lost hold and
	// SetAtLeast doesn't.
	SetAtLeast, TakenInDoubt int
	// Standing is the last count less what was taken since, 0 after the plant's removal, nil where it isn't known. More
	// taken on the day of the count than stood of a stage leaves the other stages standing.
	// StandingAtMost is nil where there is no upper bound.
	Standing        *int
	StandingAtLeast int
	StandingAtMost  *int
	// Picked and Lost are the fruit of known number that surely were of this plant.
	Picked, PickedMarketable, PickedCull int
	Lost                                 int
	LostByCause                          []CauseCount // in the order of crop.Causes; only those that occurred
	// PickedAtMost and LostAtMost add all that may have been of this plant, records of a unit included; nil where fruit went uncounted.
	PickedAtMost, LostAtMost *int
	// WeighedOnly is the number of pickings whose fruit were not counted; UnitFruit the fruit of unit records, of which
	// none to all are of this plant.
	WeighedOnly, UnitFruit int
	// Unaccounted is the net shortfall at the last count: over the stages, the largest of the highest earlier ever-reached
	// number, known or at least, less the last known. It is not the sum over visits, which adds up miscounts.
	Unaccounted int
	// Balance is the account of the season by stage, at or beyond each; nil where some number of it isn't known.
	Balance []*Balance
	// LeftAtRemoval is what stood when the plant was removed and was neither picked nor cleared on record, nil where that
	// isn't known or the plant wasn't removed.
	LeftAtRemoval *int
}

// CauseCount is fruit lost by one cause.
type CauseCount struct {
	Cause  crop.Cause
	Fruits int
}

// The contradictions between records.
const (
	FewerThanExpected    = "fewer_than_expected"    // ever reached went down
	FewerThanSeen        = "fewer_than_seen"        // the same, measured from an unfinished count
	PickedMoreThanStood  = "picked_more_than_stood" // more was taken than the count before it can have left
	StandingAfterRemoval = "standing_after_removal" // fruit counted on a plant that was gone
	TakenAfterRemoval    = "taken_after_removal"    // fruit picked or lost from a plant that was gone
	CountsDisagree       = "counts_disagree"        // two counts at one time with different numbers
)

// Contradiction is a place where records can't all be right. It is reported, never refused.
type Contradiction struct {
	Code    string
	VisitID crop.ID     // the count it showed at; zero if none
	At      crop.Moment // the moment of that count, or of the record in question
	Stage   string      // the stage, or "at or beyond" it
	Fruits  int         // how many fruit the records are apart
	// Allowance is how many fruit may be missed or counted twice by chance: what two counts may differ by (see the function
	// of that name), or less of a fall that the counts around it bear out. Where Fruits is not more, WithinAllowance is true
	// and nothing need be wrong.
	Allowance       int
	WithinAllowance bool
	Detail          string // what, the numbers, the dates, how to mend
}
