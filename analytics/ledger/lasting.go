package ledger

import "slices"

// around is how many counts on either side tell whether a fall lasts: the one it is measured from with up to three before
// it, and the one it shows at with up to three after it.
const around = 4

// window is up to four neighbouring counts that told a stage.
type window struct {
	counts int
	stood  int // at or beyond the stage, added up over the counts
	// takenBack is how much of the fall the counts take back, added up: those before it by having accounted for fewer
	// than the one it is measured from, those after it by accounting for more than the one it shows at.
	takenBack int
}

// lasting tells whether a fall that two counts alone don't prove is borne out by the counts around them, and what is left
// to chance then, in whole fruit. A miscount comes back at the next count; fruit that went doesn't. With E the number
// accounted for, a the k counts up to the one the fall is measured from, and b the m counts from the one it shows at,
// 1 ≤ k ≤ 4 and 2 ≤ m ≤ 4, a fall lasts if
//
//	fall − Σ max(0, E[last a] − E[a])/k − Σ max(0, E[b] − E[first b])/m
//	  >  max( 1, 2.5·√( 0.97·0.03·( standing(a)/k + standing(b)/m ) ) )
//
// where standing is the mean over the counts and the right side the same rule as Allowance, since the variance of the
// mean of m independent counts is that of one divided by m. The allowance is the right side in whole fruit, rounded down:
// a mean isn't a whole number, so the rounding up that Allowance can afford would hide three fruit of forty. One fruit is
// always left to chance.
//
// Fruit newly set, or newly come to the stage, raises E. It makes the left side smaller and never larger: it may hide what
// went, and can't make it up. A count with more, or before the fall with fewer, by over Allowance ends the window, since
// growth and not chance lies between; so does a removal of unknown number.
func (b *Book) lasting(f *shortfall, now int) (allowed int, lasts bool) {
	before, after := b.window(f.stage, f.from, -1), b.window(f.stage, now, +1)
	if after.counts < 2 {
		return 0, false
	}
	k, m := float64(before.counts), float64(after.counts)
	left := float64(f.fruits) - float64(before.takenBack)/k - float64(after.takenBack)/m
	limit := max(1, chance(float64(before.stood)/k/k, float64(after.stood)/m/m))
	return int(limit), left > limit
}

// window walks from a count backwards (step −1) or forwards (step 1).
func (b *Book) window(stage, from, step int) window {
	start := *b.Visits[from].AtOrBeyond[stage]
	w := window{counts: 1, stood: start}
	removed := 0 // between the first count and the one reached
	for i := from + step; i >= 0 && i < len(b.Visits) && w.counts < around; i += step {
		interval := max(i, i-step)
		if b.opened(interval) {
			break
		}
		for s := stage; s < len(b.Scale); s++ {
			removed += b.Visits[interval].Picked[s] + b.Visits[interval].Lost[s]
		}
		x := b.Visits[i].AtOrBeyond[stage]
		if x == nil {
			continue
		}
		back := max(0, step*(*x-start)+removed)
		if back > Allowance(start, *x) {
			break
		}
		w.counts++
		w.stood += *x
		w.takenBack += back
	}
	return w
}

// opened tells whether fruit of unknown number, plant or stage may have gone in the interval that ends at a count.
func (b *Book) opened(interval int) bool {
	return slices.ContainsFunc(b.Removals, func(r Removal) bool {
		return r.Interval == interval && (!r.Counted || !r.Sure || r.Stage < 0)
	})
}
