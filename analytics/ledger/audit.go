package ledger

import (
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// ripensIn is the shortest time from flower to ripe fruit that is thought possible, 30 days: published means run from
// 42 days at 26 °C to 95 at 14 °C (Adams, Cockshull & Cave 2001, Annals of Botany 88:869–877), and 30 is the wide limit
// below which a record is doubted. Fruit picked ripe within it already stood, at some stage, at its beginning.
const ripensIn = 30 * 24 * time.Hour

// audit finds the records that contradict each other.
type audit struct {
	book    *Book
	removed *crop.Date
	fallen  []fallen // in the order of time
}

func newAudit(b *Book, plant *crop.Plant) *audit {
	a := &audit{book: b}
	if plant != nil {
		a.removed = plant.RemovedOn
	}
	return a
}

func (a *audit) add(c Contradiction) {
	c.WithinAllowance = c.Fruits <= c.Allowance
	a.book.Contradictions = append(a.book.Contradictions, c)
}

// count looks at the entry that was booked last.
func (a *audit) count(falls []shortfall, conflict *disagreement) {
	at := len(a.book.Visits) - 1
	e := &a.book.Visits[at]
	if conflict != nil {
		a.add(Contradiction{
			Code: CountsDisagree, VisitID: e.VisitID, At: e.CountedAt, Stage: a.book.Scale[conflict.stage],
			Fruits: conflict.fruits(), Allowance: Allowance(conflict.low, conflict.high), Detail: a.book.disagreeDetail(e, conflict),
		})
	}
	if len(falls) > 0 {
		a.fallen = append(a.fallen, fallen{visit: at, contradiction: len(a.book.Contradictions), falls: falls})
		a.add(Contradiction{VisitID: e.VisitID, At: e.CountedAt})
	}
	if a.removed != nil && e.CountedAt.LocalDate().After(*a.removed) {
		if fruit := max(e.AtOrBeyondAtLeast[0], countedSum(e.Counted)); fruit > 0 {
			a.add(Contradiction{
				Code: StandingAfterRemoval, VisitID: e.VisitID, At: e.CountedAt, Stage: a.book.Scale[0], Fruits: fruit,
				Detail: standingDetail(e, fruit, *a.removed),
			})
		}
	}
}

// removals looks at what was taken after each count, and after the plant's removal; then it puts all in order of time.
func (a *audit) removals() {
	b := a.book
	next := 0
	for i := range b.Visits {
		for next < len(b.Removals) && b.Removals[next].Interval <= i {
			next++
		}
		a.overPicked(i, b.Removals[next:])
	}
	a.afterRemoval()
	slices.SortStableFunc(b.Contradictions, func(x, y Contradiction) int { return x.At.At.Compare(y.At.At) })
}

// overPicked finds more fruit taken after a count than can have stood at it: on its own day and before the next count, at or
// beyond some stage, since no fruit changes stage so soon; or ripe fruit within the time a fruit needs to ripen, of all
// that stood, whatever counts of a part came between. after is what was taken since the count.
func (a *audit) overPicked(at int, after []Removal) {
	b := a.book
	next := b.nextOfAll(at)
	taken, soon := until(after, at+1), until(after, next)
	if len(soon) == 0 {
		return
	}
	e := &b.Visits[at]
	all, sameDay := make([]int, len(b.Scale)), make([]int, len(b.Scale))
	addTaken(e, taken, all, sameDay)
	ripe := 0
	soonRipe := func(r *Removal) bool {
		return r.Sure && b.Ripe >= 0 && r.Stage >= b.Ripe && r.At.At.Sub(e.CountedAt.At) < ripensIn
	}
	for i := range soon {
		if soonRipe(&soon[i]) {
			ripe += soon[i].Fruits
		}
	}
	worst, stage := 0, -1
	for s, stood := range e.AtOrBeyond {
		if stood != nil && sameDay[s]-*stood > 0 && sameDay[s]-*stood >= worst {
			worst, stage = sameDay[s]-*stood, s
		}
	}
	c := Contradiction{Code: PickedMoreThanStood, VisitID: e.VisitID, At: e.CountedAt}
	inQuestion := func(r *Removal) bool {
		return r.Sure && max(0, r.Stage) >= stage && r.At.LocalDate() == e.CountedAt.LocalDate()
	}
	switch stood := b.stood(at, next, soon); {
	case stage >= 0:
		c.Stage, c.Fruits, c.Allowance = b.Scale[stage], worst, Allowance(*e.AtOrBeyond[stage], 0)
		c.Detail = b.sameDayDetail(&c, e, sameDay[stage])
	case stood >= 0 && ripe > stood:
		c.Stage, c.Fruits, c.Allowance = b.Scale[b.Ripe], ripe-stood, Allowance(stood, 0)
		c.Detail = b.ripeDetail(e, ripe, stood)
		taken, inQuestion = soon, soonRipe
	default:
		return
	}
	a.add(c)
	if c.Fruits > c.Allowance {
		doubtLargest(taken, inQuestion, c.Fruits)
	}
}

// until is what was taken up to the count at a position of Visits.
func until(after []Removal, visit int) []Removal {
	end := 0
	for end < len(after) && after[end].Interval <= visit {
		end++
	}
	return after[:end]
}

// nextOfAll is the position of the next count that tells how many fruit stood in all, the number of counts if there is none.
func (b *Book) nextOfAll(visit int) int {
	for visit++; visit < len(b.Visits) && b.Visits[visit].AtOrBeyond[0] == nil; visit++ {
	}
	return visit
}

// stood is how many fruit stood at a count that tells all, -1 for one that doesn't. Counts of a part before the next that tells
// all may show, with what was taken up to them, that there were more.
func (b *Book) stood(visit, next int, after []Removal) int {
	if b.Visits[visit].AtOrBeyond[0] == nil {
		return -1
	}
	most, taken := *b.Visits[visit].AtOrBeyond[0], 0
	for part := visit + 1; part < next; part++ {
		for ; len(after) > 0 && after[0].Interval <= part; after = after[1:] {
			if r := &after[0]; r.Sure && r.Counted {
				taken += r.Fruits
			}
		}
		most = max(most, taken+b.Visits[part].AtOrBeyondAtLeast[0])
	}
	return most
}

// doubtLargest marks the removal with the most fruit of those in question as doubted, if it alone may have the fruit that
// are too many.
func doubtLargest(taken []Removal, inQuestion func(*Removal) bool, tooMany int) {
	var most *Removal
	for i := range taken {
		if r := &taken[i]; inQuestion(r) && (most == nil || r.Fruits > most.Fruits) {
			most = r
		}
	}
	if most != nil && most.Fruits >= tooMany {
		most.Doubted = true
	}
}

func (a *audit) afterRemoval() {
	if a.removed == nil {
		return
	}
	c := Contradiction{Code: TakenAfterRemoval}
	var last *Removal
	for i := range a.book.Removals {
		r := &a.book.Removals[i]
		if !r.Sure || r.Fruits == 0 || r.Stage < 0 || !r.At.LocalDate().After(*a.removed) {
			continue
		}
		if last == nil {
			c.At, c.Stage = r.At, a.book.Scale[r.Stage]
		}
		c.Fruits += r.Fruits
		last = r
	}
	if last != nil {
		c.Detail = takenDetail(&c, last, *a.removed)
		a.add(c)
	}
}
