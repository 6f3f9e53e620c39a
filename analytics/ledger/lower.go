package ledger

import "math"

// bound is a lower bound that one wrong count doesn't make too high, once a later count contradicts it.
//
// Each count gives a value, which holds if the count is right. Where some later count accounts for fewer fruit at or beyond
// a stage, either fruit went without a record, and the value holds, or a count is wrong, perhaps this one. So such a count
// gives a second number that is sure in either case:
//
//	what it counted at the stages before the one in doubt    if a miscount doesn't explain the fall
//	its value less the fall                                  if a miscount does
//
// The second is what the later count accounts for itself, where that is of the whole plant and no fruit of a unit went
// between them; else it trusts a count that the ledger says need not be wrong. If no more than one count is wrong,
//
//	max( the largest sure number, the second largest value )
//
// holds, since of the two counts with the largest values one is right. Fruit that vanished after it was counted once may
// cost the bound that fruit; counted twice it costs nothing.
type bound struct{ sure, first, second int }

func (b *bound) add(value, sure int) {
	b.sure = max(b.sure, sure)
	if value > b.first {
		b.first, b.second = value, b.first
	} else {
		b.second = max(b.second, value)
	}
}

func (b *bound) least() int { return max(b.sure, b.second) }

// witness is what a count is worth for lower bounds.
type witness struct {
	removed int // surely, before it, apart from what is doubted
	stood   int // at it, at least
	stands  int // of these, what isn't in doubt
	fall    int // the largest by which a later count accounts for fewer, where a miscount explains all such
}

// fewest is the later count that accounts for the fewest fruit at or beyond a stage.
type fewest struct{ level, stood int }

// witnesses looks back from the end for later counts that account for less. Run is at the end of the records and is taken
// back to their beginning. Counts with a removal of any number between them at a stage can't be compared there.
func (b *Book) witnesses(all []event, run *running) []witness {
	least := make([]fewest, len(b.Scale))
	for t := range least {
		least[t].level = math.MaxInt
	}
	found := make([]witness, len(b.Visits))
	next, doubtful := len(all), b.Totals.TakenInDoubt
	for i := len(b.Visits) - 1; i >= 0; i-- {
		for ; next > 0 && all[next-1].Interval > i; next-- {
			run.giveBack(&all[next-1], least)
			if r := &b.Removals[next-1]; r.Doubted {
				doubtful -= r.Fruits
			}
		}
		e := &b.Visits[i]
		w := &found[i]
		w.removed = run.removed[0] - doubtful
		doubted := len(b.Scale)
		for t := len(b.Scale) - 1; t >= 0; t-- {
			stood := e.AtOrBeyondAtLeast[t]
			level := stood + run.removed[t] + run.unsure[t]
			switch fall := level - least[t].level; {
			case fall <= 0:
			case e.DoubtedAt(t) || fall > Allowance(stood, least[t].stood):
				doubted = t
			default:
				w.fall = max(w.fall, fall)
			}
			if e.AtOrBeyond[t] != nil && level < least[t].level {
				least[t] = fewest{level, stood}
			}
		}
		w.stood, w.stands = e.AtOrBeyondAtLeast[0], e.AtOrBeyondAtLeast[0]
		if doubted < len(b.Scale) {
			w.stands, w.fall = 0, 0
			for _, x := range e.StandingAtLeast[:doubted] {
				w.stands += x
			}
			w.stands = min(w.stands, w.stood) // counts of one time that disagree are sure of less together than each by itself
		}
	}
	return found
}

// giveBack undoes a removal; where any number may have gone, earlier counts can't be held against later ones.
func (run *running) giveBack(e *event, least []fewest) {
	for s := 0; s <= e.sure; s++ {
		run.removed[s] -= e.Fruits
	}
	for s := e.sure + 1; s <= e.perhaps; s++ {
		if e.Counted {
			run.unsure[s] -= e.Fruits
		} else {
			run.unbounded[s]--
			least[s].level = math.MaxInt
		}
	}
}

// setAtLeast is the most fruit that counts bear out as ever set, by the rule of bound; at least what is gone and stands.
func (b *Book) setAtLeast(all []witness, gone int) int {
	var set bound
	for _, w := range all {
		set.add(w.stood+w.removed, w.stands-w.fall+w.removed)
	}
	return max(set.least(), gone-b.Totals.TakenInDoubt+b.Totals.StandingAtLeast)
}
