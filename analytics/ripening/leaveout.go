package ripening

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// heldAgainst is how many of the counts after one it is held against: later ones add little.
const heldAgainst = 2

// leftOut is a count beside what the others let expect of it.
type leftOut struct {
	event    int
	numbers  []int // of the count's numbers, those that say something
	expected []float64
	sd       []float64
	squared  float64 // e'S⁻¹e of all of them
}

// leaveOut goes through a plant's counts and leaves each out in turn. What the others, those before it and heldAgainst after it, let expect of it is
// found by least squares: whitened innovations z are linear in a count's numbers (but where the rate of setting reaches its bounds), so the deviation δ
// that makes its own and the later ones smallest is −(J'J)⁻¹J'z, J being by how much z moves for a fruit more, and (J'J)⁻¹ is its covariance. (The
// leave-one-out residuals of a state-space model: de Jong, P. (1989), Smoothing and interpolation with the state-space model, Journal of the American
// Statistical Association 84:1085–1088, named from memory; there by a recursion backwards, for which the moves of fruit would have to be kept as
// matrices.) The tape is of a plain run with the same chain.
func (p *passer) leaveOut(h *History, c *chain, t *tape) []leftOut {
	r := &p.rest
	r.base, r.at = p.replay(h, c, t, r.base[:0]), append(r.at[:0], 0)
	for i := range h.events {
		next := r.at[i]
		if h.events[i].counted() {
			next += t.steps[i].numbers
		}
		r.at = append(r.at, next)
	}
	var all []leftOut
	p.state.reset()
	for i := range h.events {
		p.lapse(h, c, t, i)
		if e := &h.events[i]; e.counted() && !e.count.first {
			r.before.remember(p.state)
			if x := p.without(h, c, t, i); len(x.numbers) > 0 {
				all = append(all, x)
			}
			p.state.remember(&r.before)
		}
		r.moved = p.recall(h, c, t, i, nothing, r.moved[:0])
	}
	return all
}

// rest is what leaveOut keeps of a plant's other counts.
type rest struct {
	base   []float64 // whitened innovations of all counts, one after another
	at     []int     // where each event's numbers begin in it
	before state     // that before the count that is left out
	z      []float64
	moved  []float64
}

// without leaves the count of an event out. The state is that before it, and isn't kept.
func (p *passer) without(h *History, c *chain, t *tape, i int) leftOut {
	x, r, w, k := leftOut{event: i}, &p.rest, &t.steps[i], h.events[i].count
	for a := range k.seen {
		if !w.skip[a] {
			x.numbers = append(x.numbers, a)
		}
	}
	end := i + 1
	for after := 0; end < len(h.events) && after < heldAgainst; end++ {
		if e := &h.events[end]; e.counted() {
			if e.count.first {
				break
			}
			after++
		}
	}
	r.z = append(r.z[:0], r.base[r.at[i]:r.at[end]]...)
	unheld(r.z, w)
	n := len(r.z)
	r.moved = sized(r.moved, len(x.numbers)*n)
	by := make([][]float64, len(x.numbers))
	for b, a := range x.numbers {
		p.state.remember(&r.before)
		by[b] = p.recall(h, c, t, i, a, r.moved[b*n:b*n:b*n+n])
		for j := i + 1; j < end; j++ {
			p.lapse(h, c, t, j)
			by[b] = p.recall(h, c, t, j, nothing, by[b])
		}
		unheld(by[b], w)
		floats.Sub(by[b], r.z)
	}
	x.solve(by, r.z)
	for b, a := range x.numbers {
		x.expected[b] += k.seen[a].fruits
	}
	return x
}

// unheld undoes the holding back of a surprising count's own innovations, which come first: it is held against the others as it is.
func unheld(z []float64, w *weighed) {
	for a := range w.numbers {
		z[a] /= math.Sqrt(w.scale)
	}
}

// solve finds the deviation that makes z smallest, and leaves it in expected.
func (x *leftOut) solve(by [][]float64, z []float64) {
	m := len(by)
	lower := make([]float64, m*m)
	x.expected, x.sd = make([]float64, m), make([]float64, m)
	for n := range by {
		for o := range n + 1 {
			lower[n*m+o] = floats.Dot(by[n], by[o])
		}
		x.expected[n] = -floats.Dot(by[n], z)
	}
	cholesky(lower, m)
	unit := make([]float64, m)
	for n := range by {
		clear(unit)
		unit[n] = 1
		forward(lower, unit, m)
		x.sd[n] = math.Sqrt(floats.Dot(unit, unit))
	}
	forward(lower, x.expected, m)
	x.squared = floats.Dot(x.expected, x.expected)
	backward(lower, x.expected, m)
}

// remember makes a state's numbers and profiles those of another; covariances it leaves out.
func (s *state) remember(other *state) {
	s.cohorts = append(s.cohorts[:0], other.cohorts...)
	s.days, s.grown = other.days, other.grown
}
