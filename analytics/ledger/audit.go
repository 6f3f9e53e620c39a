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
		end := next
		for end < len(b.Removals) && b.Removals[end].Interval == i+1 {
			end++
		}
		a.overPicked(&b.Visits[i], b.Removals[next:end])
	}
	a.afterRemoval()
	slices.SortStableFunc(b.Contradictions, func(x, y Contradiction) int { return x.At.At.Compare(y.At.At) })
}

// overPicked finds more fruit taken after a count, before the next, than can have stood at it: on its own day, at or
// beyond some stage, since no fruit changes stage so soon; or ripe fruit within the time a fruit needs to ripen, of all
// that stood.
func (a *audit) overPicked(e *Entry, taken []Removal) {
	if len(taken) == 0 {
		return
	}
	b := a.book
	all, sameDay := make([]int, len(b.Scale)), make([]int, len(b.Scale))
	addTaken(e, taken, all, sameDay)
	ripe := 0
	soonRipe := func(r *Removal) bool {
		return r.Sure && b.Ripe >= 0 && r.Stage >= b.Ripe && r.At.At.Sub(e.CountedAt.At) < ripensIn
	}
	for i := range taken {
		if soonRipe(&taken[i]) {
			ripe += taken[i].Fruits
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
	switch all := e.AtOrBeyond[0]; {
	case stage >= 0:
		c.Stage, c.Fruits, c.Allowance = b.Scale[stage], worst, Allowance(*e.AtOrBeyond[stage], 0)
		c.Detail = b.sameDayDetail(&c, e, sameDay[stage])
	case all != nil && ripe > *all:
		c.Stage, c.Fruits, c.Allowance = b.Scale[b.Ripe], ripe-*all, Allowance(*all, 0)
		c.Detail = b.ripeDetail(e, ripe)
		inQuestion = soonRipe
	default:
		return
	}
	a.add(c)
	if c.Fruits > c.Allowance {
		doubtLargest(taken, inQuestion, c.Fruits)
	}
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
