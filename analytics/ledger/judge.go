package ledger

import "cmp"

// fallen is a visit at which less was accounted for than before; its contradiction is written when all counts are booked.
type fallen struct {
	visit, contradiction int
	falls                []shortfall // by stage
}

// verdict is how a fall of one stage is to be taken.
type verdict struct {
	fall *shortfall
	// pair is what its two counts may differ by, allowance what is left to chance: less than pair, and less than the fall,
	// where the counts around bear it out.
	pair, allowance int
}

func (v *verdict) beyond() int { return v.fall.fruits - v.allowance }

// judge writes the contradictions of falls, once all counts are booked. Each stage's fall is judged against its own
// allowance, and the one furthest beyond it (fall − allowance) is named, of equal ones the larger, then the riper: three
// red fruit missing of six are a sign that sixty green ones beside them must not cover. Where chance explains the fall of
// every stage, the largest is named. One drop is one contradiction: fewer_than_seen where the count it is measured from was
// unfinished and had seen more than any exact one, else fewer_than_expected.
func (a *audit) judge() {
	b := a.book
	for _, at := range a.fallen {
		worst := b.verdict(largest(at.falls), at.visit)
		for i := range at.falls {
			v := b.verdict(&at.falls[i], at.visit)
			if v.beyond() <= 0 {
				continue
			}
			b.Visits[v.fall.from].doubt(v.fall.stage, len(b.Scale))
			if cmp.Or(cmp.Compare(v.beyond(), worst.beyond()), cmp.Compare(v.fall.fruits, worst.fall.fruits)) >= 0 {
				worst = v
			}
		}
		c := &b.Contradictions[at.contradiction]
		c.Code = FewerThanExpected
		c.Stage, c.Fruits, c.Allowance = b.Scale[worst.fall.stage], worst.fall.fruits, worst.allowance
		c.WithinAllowance = c.Fruits <= c.Allowance
		c.Detail = b.fewerDetail(c, &b.Visits[worst.fall.from], &b.Visits[at.visit], &worst)
		if worst.fall.seen {
			c.Code = FewerThanSeen
			c.Detail = b.seenDetail(c, &b.Visits[worst.fall.from], &b.Visits[at.visit], worst.fall.stood)
		}
	}
}

func (e *Entry) doubt(stage, stages int) {
	if e.Doubted == nil {
		e.Doubted = make([]bool, stages)
	}
	e.Doubted[stage] = true
}

func (b *Book) verdict(f *shortfall, now int) verdict {
	pair := Allowance(f.stood, *b.Visits[now].AtOrBeyond[f.stage])
	v := verdict{fall: f, pair: pair, allowance: pair}
	if f.fruits <= pair && !f.seen { // an unfinished count has no neighbours to be averaged with
		if allowed, lasts := b.lasting(f, now); lasts {
			v.allowance = allowed
		}
	}
	return v
}

// largest is the largest fall, of equal ones that of the riper stage; nil of none.
func largest(falls []shortfall) *shortfall {
	var most *shortfall
	for i := range falls {
		if most == nil || falls[i].fruits >= most.fruits {
			most = &falls[i]
		}
	}
	return most
}
