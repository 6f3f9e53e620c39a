package ledger

// Balance is the account of a plant's fruit at or beyond one stage, up to the end of the records. It closes exactly:
//
//	EverReached = Standing + Picked + Lost + Unaccounted + LeftAtRemoval
//
// All are numbers of fruit, as the records have them; EverReached takes the missing for fruit that was there, so unlike
// Totals.SetAtLeast it rests on every count.
type Balance struct {
	EverReached   int
	Standing      int // left of the last count, 0 after the plant's removal
	Picked, Lost  int
	Unaccounted   int // the largest net shortfall of this stage and those beyond it
	LeftAtRemoval int
}

// balance draws up the account of each stage that the last count told and from which only fruit of known number went; nil
// for the others. Missing is the net shortfall by stage, left what remains of the last count.
func (b *Book) balance(run *running, left []remaining, missing []int) []*Balance {
	all := make([]*Balance, len(b.Scale))
	for s := range left {
		if !left[s].known || !run.certain(s) {
			continue
		}
		x := &Balance{Standing: left[s].fruits, Unaccounted: missing[s]}
		for i := range b.Removals {
			switch r := &b.Removals[i]; {
			case max(0, r.Stage) < s:
			case r.Picked:
				x.Picked += r.Fruits
			default:
				x.Lost += r.Fruits
			}
		}
		x.EverReached = x.Standing + x.Picked + x.Lost + x.Unaccounted
		all[s] = x
	}
	return all
}

// leftNow is what remains of the last count; nil without one.
func (b *Book) leftNow() []remaining {
	if len(b.Visits) == 0 {
		return nil
	}
	return b.left(&b.Visits[len(b.Visits)-1], b.since(len(b.Visits)-1))
}

// since is what was removed after the count at a position.
func (b *Book) since(visit int) []Removal {
	first := len(b.Removals)
	for first > 0 && b.Removals[first-1].Interval > visit {
		first--
	}
	return b.Removals[first:]
}
