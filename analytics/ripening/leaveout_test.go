package ripening

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"vinetally/analytics/simulate"
)

// TestLeftOutIsConditional: of numbers that are jointly normal, what is found for some of them is their mean and covariance given all others. These follow
// from the inverse P of the covariance: of numbers a given the others b the covariance is inv(Paa) and the mean −inv(Paa) Pab yb (a standard result, for
// instance Rasmussen & Williams (2006), Gaussian Processes for Machine Learning, equations 5.12 and A.6).
func TestLeftOutIsConditional(t *testing.T) {
	const n, m = 9, 3 // all numbers, and of the count that is left out
	rng := rand.New(rand.NewPCG(5, 5))
	for range 20 {
		lower := make([]float64, n*n)
		for i := range n {
			for j := range i {
				lower[i*n+j] = rng.NormFloat64()
			}
			lower[i*n+i] = 0.5 + rng.Float64()
		}
		y := make([]float64, n)
		for i := range y {
			y[i] = 3 * rng.NormFloat64()
		}
		z := append([]float64(nil), y...)
		forward(lower, z, n)
		by := make([][]float64, m)
		for a := range m {
			by[a] = make([]float64, n)
			by[a][a] = 1
			forward(lower, by[a], n)
		}
		var x leftOut
		x.solve(by, z)

		l := mat.NewDense(n, n, lower)
		var cov, inverse, want mat.Dense
		cov.Mul(l, l.T())
		if err := inverse.Inverse(&cov); err != nil {
			t.Fatal(err)
		}
		if err := want.Inverse(inverse.Slice(0, m, 0, m)); err != nil {
			t.Fatal(err)
		}
		var pull, mean mat.VecDense
		pull.MulVec(inverse.Slice(0, m, m, n), mat.NewVecDense(n-m, y[m:]))
		mean.MulVec(&want, &pull)
		var squared float64
		off := mat.NewVecDense(m, nil)
		for a := range m {
			off.SetVec(a, y[a]+mean.AtVec(a))
			if got := y[a] + x.expected[a]; math.Abs(got+mean.AtVec(a)) > 1e-9*(1+math.Abs(got)) {
				t.Errorf("number %d: %v expected, want %v", a, got, -mean.AtVec(a))
			}
			if sd := math.Sqrt(want.At(a, a)); math.Abs(x.sd[a]-sd) > 1e-9*sd {
				t.Errorf("number %d: standard deviation %v, want %v", a, x.sd[a], sd)
			}
		}
		squared = mat.Inner(off, inverse.Slice(0, m, 0, m), off)
		if math.Abs(x.squared-squared) > 1e-8*squared {
			t.Errorf("squared deviation %v, want %v", x.squared, squared)
		}
	}
}

// TestLastCountIsForeseen: after the last count there is none, so it is held against what the filter expected of it, exactly.
func TestLastCountIsForeseen(t *testing.T) {
	c, _ := simulate.Named("steady")
	w := simulate.New(c, 3)
	m, all := fits(w, w.At(24*120))
	pass, tp := newPasser(), &tape{}
	pass.obs.plain = true
	for i, p := range m.Plants {
		chain := p.Cultivar.fit.chain(p.index)
		pass.run(p.history, &chain, tp)
		last := all[i][len(all[i])-1]
		for e := range p.history.events {
			k := p.history.events[e].count
			if k == nil || k.visit != last.VisitID {
				continue
			}
			for a, n := range last.Numbers {
				seen, expected, sd := pass.obs.number(k, a)
				if n.Seen != seen || math.Abs(n.Expected-max(0, expected)) > 1e-6 || math.Abs(n.SD-sd) > 1e-6*sd {
					t.Errorf("%s, %s: %+v; the filter expected %v give or take %v", p.Label, n.Stage, n, expected, sd)
				}
			}
			squared := 0.0
			for _, z := range tp.z[len(tp.z)-len(k.seen):] {
				squared += z * z / tp.steps[e].scale
			}
			if math.Abs(last.Squared-squared) > 1e-6*(1+squared) {
				t.Errorf("%s: squared deviation %v, the filter's %v", p.Label, last.Squared, squared)
			}
		}
	}
}

// TestMiddleCountIsLeftOut: with a count's numbers as they are found to be expected, its own whitened innovations and those of the next two counts are
// as small as they can be, and smaller by its squared deviation than with what was seen. Each is worked out from the beginning, without derivatives;
// what sets in the meantime goes by the fruit that set before, and isn't quite linear where that is bounded: that is what the tolerances are for.
func TestMiddleCountIsLeftOut(t *testing.T) {
	c, _ := simulate.Named("truss cuts")
	w := simulate.New(c, 4)
	m, _ := fits(w, w.At(24*115))
	p := m.Plants[0]
	chain := p.Cultivar.fit.chain(p.index)
	pass, tp := newPasser(), &tape{}
	pass.obs.plain = true
	pass.run(p.history, &chain, tp)
	all := pass.leaveOut(p.history, &chain, tp)
	if len(all) < 15 {
		t.Fatalf("%d counts left out", len(all))
	}
	for _, x := range all {
		events := p.history.events
		begin, end, after := 0, 0, -1
		for i := 0; i < len(events) && after < heldAgainst; i++ {
			if i == x.event {
				begin = end
			}
			if events[i].counted() {
				end += tp.steps[i].numbers
				if i >= x.event {
					after++
				}
			}
		}
		seen := events[x.event].count.seen
		scale, own := tp.steps[x.event].scale, tp.steps[x.event].numbers
		squared := func() float64 {
			sum := 0.0
			for i, z := range pass.replay(p.history, &chain, tp, nil)[begin:end] {
				if i < own {
					z /= math.Sqrt(scale)
				}
				sum += z * z
			}
			return sum
		}
		as := squared()
		was := make([]float64, len(seen))
		for n, a := range x.numbers {
			was[a], seen[a].fruits = seen[a].fruits, x.expected[n]
		}
		least := squared()
		if math.Abs(as-least-x.squared) > 0.05*(1+x.squared) {
			t.Errorf("event %d: %v squared as seen and %v as expected; %v apart were told", x.event, as, least, x.squared)
		}
		for _, a := range x.numbers {
			for _, d := range []float64{-0.2, 0.2} {
				seen[a].fruits += d
				if got := squared(); got < least-0.02 {
					t.Errorf("event %d: %v squared with %+.1f in number %d, %v as expected", x.event, got, d, a, least)
				}
				seen[a].fruits -= d
			}
		}
		for _, a := range x.numbers {
			seen[a].fruits = was[a]
		}
	}
}
