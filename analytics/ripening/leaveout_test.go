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
