package ledger

// remaining is what is left, at or beyond a stage, of the fruit of a count after what was taken since.
type remaining struct {
	fruits, atLeast int
	short           int  // how many fruit the count missed, for all that was taken on its day to have stood
	known           bool // fruits is all that is left of those counted
}

// left works out what is left of an exact count, by stage, after the removals that came after it; where the count doesn't
// tell a stage, nothing is known of it.
//
// # More taken than stood
//
// No fruit changes stage on the day of a count. If more was taken that day at or beyond stage t than the count had there,
// either the count missed fruit of that stage, or the picking is too high, or its stage is off. In the first two readings
// nothing of the other stages is gone: a picking of five red where three stood leaves all ten green ones. So the count is
// taken to have been short by the least that explains the taking,
//
//	D[t] = max( 0, over u ≥ t: taken that day at or beyond u − C[u] )
//	left[t] = C[t] + D[t] − taken[t]
//
// In the third reading the fruit was of the stage just before (colours are judged by eye, and neighbours are what the eye
// confuses; common practice) and is gone from there: as many as stood there untaken, and no more than D, may be lacking
// from what is left of the stages before. Then they are only known in bounds. They are as well where D is more than a
// miscount explains: a record is wrong, and which isn't known.
//
// What was taken on later days may have ripened since the count, so that a taking beyond what stood of a stage contradicts
// nothing, and none of that stage is left. Beyond all that stood, fruit has been set since or a record is wrong: none is
// left for certain, and the number isn't known unless a miscount explains the difference.
func (b *Book) left(e *Entry, after []Removal) []remaining {
	n := len(b.Scale)
	all := make([]remaining, n)
	taken, sameDay := make([]int, n), make([]int, n)
	addTaken(e, after, taken, sameDay)
	short, mistaken := 0, 0 // D, and what of it may have been of the stage before
	explained := true       // by a miscount
	above := -1             // the stage told last, going down
	beside := false         // the next stage told is the one before that which was short
	for t := n - 1; t >= 0; t-- {
		if e.AtOrBeyond[t] == nil {
			continue
		}
		stood := *e.AtOrBeyond[t]
		if excess := sameDay[t] - stood; excess > short {
			short, mistaken, explained, beside = excess, 0, excess <= Allowance(stood, 0), true
		} else if beside {
			untaken := (stood - *e.AtOrBeyond[above]) - (sameDay[t] - sameDay[above])
			mistaken, beside = min(short, max(0, untaken)), false
		}
		all[t] = remaining{
			short: short, fruits: max(0, stood+short-taken[t]), atLeast: max(0, stood+short-mistaken-taken[t]), known: explained && mistaken == 0,
		}
		above = t
	}
	if x := e.AtOrBeyond[0]; x != nil && taken[0]-*x-short > Allowance(*x, 0) {
		all[0].known = false
	}
	return all
}

// addTaken adds up what surely was taken at or beyond each stage after a count, in all and on the count's own day.
func addTaken(e *Entry, after []Removal, all, sameDay []int) {
	day := e.CountedAt.LocalDate()
	for i := range after {
		r := &after[i]
		if !r.Sure || !r.Counted {
			continue
		}
		same := r.At.LocalDate() == day
		for s := 0; s <= max(0, r.Stage); s++ {
			all[s] += r.Fruits
			if same {
				sameDay[s] += r.Fruits
			}
		}
	}
}
