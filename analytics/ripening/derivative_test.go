package ripening

import (
	"math"
	"testing"
)

// expectedHistory is a season of one plant whose every count is what the model expects, so that nothing is learned from it.
func expectedHistory(c *chain) *History {
	day := advance{growing: 1.1, growingSlope: 1.1 * math.Log(1.1), colouring: 1.2, colouringSlope: 1.2 * math.Log(1.2), days: 1}
	h := &History{unripe: c.unripe, startRate: startRate, mostRate: math.Inf(1)}
	for range 16 {
		h.events = append(h.events, event{since: day.scaled(4)})
	}
	h.first = len(h.events)
	p, t := newPasser(), &tape{}
	for range 10 {
		k := &count{}
		for s := 0; s <= c.unripe; s++ {
			k.seen = append(k.seen, seen{stage: s, share: 1})
		}
		h.events = append(h.events, event{since: day.scaled(3)})
		p.run(h, c, t)
		p.obs.innovation(p.state, c, k)
		for a := range k.seen {
			k.seen[a].fruits = -p.obs.e[a]
		}
		h.events[len(h.events)-1].count = k
	}
	return h
}

// TestDerivatives: where every count is as expected the gains multiply nothing, so that a replay, which holds them, answers to each
// parameter as a whole pass does by central differences. What a replay holds beside them, the fruit that sets, depends on no parameter then.
func TestDerivatives(t *testing.T) {
	l, prior := layout{3}, PublishedPrior(3)
	chainOf := func(j int, by float64) chain {
		theta := append([]float64(nil), prior.Mean...)
		effect := 0.0
		if j == l.size() {
			effect = by
		} else if j >= 0 {
			theta[j] += by
		}
		return l.chain(theta, l.tables(theta), effect)
	}
	at := chainOf(-1, 0)
	h := expectedHistory(&at)
	p := newPasser()
	var held, up, down tape
	p.run(h, &at, &held)
	for a, z := range held.z {
		if math.Abs(z) > 1e-9 {
			t.Fatalf("innovation %d is %v, want none", a, z)
		}
	}
	// unwhitened takes a pass's innovations back to fruit
	unwhitened := func(z []float64, of *tape) []float64 {
		var e []float64
		at := 0
		for i := range h.events {
			if h.events[i].count == nil {
				continue
			}
			m := of.steps[i].numbers
			for a := range m {
				sum := 0.0
				for b := 0; b <= a; b++ {
					sum += of.steps[i].lower[a*m+b] * z[at+b]
				}
				e = append(e, sum/math.Sqrt(of.steps[i].scale))
			}
			at += m
		}
		return e
	}
	const step = 1e-4
	for j := 0; j <= l.size(); j++ {
		plus, minus := chainOf(j, step), chainOf(j, -step)
		p.run(h, &plus, &up)
		p.run(h, &minus, &down)
		a, b := unwhitened(up.z, &up), unwhitened(down.z, &down)
		r, q := unwhitened(p.replay(h, &plus, &held, nil), &held), unwhitened(p.replay(h, &minus, &held, nil), &held)
		largest, apart := 0.0, 0.0
		for i := range a {
			whole, replayed := (a[i]-b[i])/(2*step), (r[i]-q[i])/(2*step)
			largest, apart = math.Max(largest, math.Abs(whole)), math.Max(apart, math.Abs(whole-replayed))
		}
		t.Logf("parameter %d: largest derivative %.4f, apart %.2g", j, largest, apart)
		if apart > 0.02*largest+1e-6 {
			t.Errorf("parameter %d: derivatives of up to %v fruit are %v apart", j, largest, apart)
		}
	}
}
