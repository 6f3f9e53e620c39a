package ripening

import (
	"math"
	"testing"
)

// TestTooManyWhereNoneIsExpected: where less than no fruit is expected of a stage, since a count saw nothing, a removal of fruit that can't have hung
// there takes shares of what is left of each cohort, none of them below zero, which would make a variance negative.
func TestTooManyWhereNoneIsExpected(t *testing.T) {
	const unripe = 1
	h := &History{unripe: unripe, startRate: startRate, mostRate: math.Inf(1)}
	pass := func(days float64) advance {
		return advance{growing: 1.8 * days, growingSlope: 1.06 * days, colouring: 1.8 * days, colouringSlope: 1.06 * days, days: days}
	}
	for range 8 {
		h.events = append(h.events, event{since: pass(4)})
	}
	h.first = len(h.events)
	h.events = append(h.events,
		event{since: pass(1), count: &count{}},
		event{count: &count{seen: []seen{{stage: -1, share: 1}}}},
		event{count: &count{seen: []seen{{stage: 1, fruits: 1, share: 1, least: true}}}},
		event{removal: &removal{stage: 0, fruits: 5, known: true}},
	)
	l, prior := layout{unripe}, PublishedPrior(unripe)
	c := l.chain(prior.Mean, l.tables(prior.Mean), 0.12)
	p, tape := newPasser(), &tape{}
	p.run(h, &c, tape)
	last := &tape.steps[len(h.events)-1]
	if !last.tooMany {
		t.Fatalf("%v fruit can have hung, so 5 weren't too many", p.obs.stood)
	}
	p.run(&History{unripe: unripe, events: h.events[:len(h.events)-1], first: h.first, startRate: startRate, mostRate: math.Inf(1)}, &c, tape)
	if green := p.state.expected(0); green >= 0 {
		t.Fatalf("%v green fruit are expected, so it isn't fewer than none", green)
	}
	p.run(h, &c, tape)
	for i, q := range tape.steps[len(h.events)-1].taken {
		if q < 0 || q > 1 {
			t.Errorf("of cohort %d a share of %v is taken", i, q)
		}
	}
}
