package estimate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Bounds of the search. They stop runaways; ordinary problems take 5 to 30 steps, the hardest of the tests some hundred.
const (
	maxSteps       = 600
	firstDamping   = 1e-3
	largestDamping = 1e18
	relativeStep   = 1e-10 // a scaled step this small, relative to the scaled parameters, ends the search
	maxPolish      = 12
)

// descent is where one start led.
type descent struct {
	theta []float64
	rss   float64
	steps int
	ok    bool // false: the model has no value at the start
}

// descend runs Levenberg–Marquardt from start. The end is good to about relativeStep; polish makes the best of it.
//
// Each step δ solves the least-squares problem of the augmented, column-scaled system
//
//	⎡ J·D⁻¹ ⎤          ⎡ r ⎤
//	⎣ √λ·I  ⎦ (D·δ) ≈  ⎣ 0 ⎦
//
// by QR, J and r with rows multiplied by √w. D holds the largest norm that each column of J has had (Moré 1978, The
// Levenberg–Marquardt algorithm, Lecture Notes in Mathematics 630, 105–116), so that the path does not depend on the units
// of the parameters. λ follows Nielsen (1999), Damping parameter in Marquardt's method, IMM-REP-1999-05: it falls
// smoothly with the ratio of the actual to the predicted reduction and rises ever faster after refused steps.
func (pr *problem) descend(start []float64) descent {
	out := descent{theta: slices.Clone(start)}
	r, rNext := make([]float64, pr.n), make([]float64, pr.n)
	if out.rss, out.ok = pr.residuals(out.theta, r); !out.ok {
		return out
	}
	jac := mat.NewDense(pr.n, pr.p, nil)
	if out.ok = pr.jacobian(out.theta, jac); !out.ok {
		return out
	}
	norms, scale, next := make([]float64, pr.p), make([]float64, pr.p), make([]float64, pr.p)
	step := newStepper(pr.n, pr.p)
	damping, growth := firstDamping, 2.0
	fresh := true // jac has changed since the last factorisation
	for out.steps = 0; out.steps < maxSteps && damping < largestDamping; out.steps++ {
		if fresh {
			columnNorms(jac, pr.n, norms)
			for j := range scale {
				scale[j] = math.Max(scale[j], norms[j])
			}
			step.factorise(jac, scale, r)
			fresh = false
		}
		delta, fall := step.solve(damping) // delta is scaled: D·δ
		if !allFinite(delta...) {
			damping, growth = damping*growth, growth*2
			continue
		}
		var size, reach float64
		for j := range next {
			next[j] = out.theta[j] + delta[j]/scale[j]
			size += delta[j] * delta[j]
			reach += scale[j] * scale[j] * next[j] * next[j]
		}
		rss, ok := pr.residuals(next, rNext)
		gain := -1.0
		if ok && fall > 0 {
			gain = (out.rss - rss) / fall
		}
		small := math.Sqrt(size) <= relativeStep*math.Sqrt(reach) || fall <= epsilon*out.rss
		if gain > 0 && pr.jacobian(next, jac) {
			copy(out.theta, next)
			r, rNext = rNext, r
			out.rss = rss
			fresh = true
			damping *= math.Max(1.0/3, 1-math.Pow(2*gain-1, 3))
			growth = 2
		} else {
			if gain > 0 {
				pr.jacobian(out.theta, jac) // the refused point had no gradient: put the old one back
			}
			damping, growth = damping*growth, growth*2
		}
		if small {
			break
		}
	}
	return out
}

// polish takes full Gauss–Newton steps as long as they shrink, and so carries the parameters to rounding level.
func (pr *problem) polish(out *descent) {
	r := make([]float64, pr.n)
	jac := mat.NewDense(pr.n, pr.p, nil)
	theta := slices.Clone(out.theta)
	norms := make([]float64, pr.p)
	step := newStepper(pr.n, pr.p)
	best := math.Inf(1)
	for range maxPolish {
		rss, ok := pr.residuals(theta, r)
		// Two sums of squares that differ by rounding alone count as equal; the length of the step decides then.
		if !ok || rss > out.rss*(1+1e-12)+pr.noise*pr.noise || !pr.jacobian(theta, jac) {
			return
		}
		columnNorms(jac, pr.n, norms)
		for j, v := range norms {
			if v == 0 {
				norms[j] = 1
			}
		}
		step.factorise(jac, norms, r)
		delta, fall := step.solve(0)
		if !allFinite(delta...) || !(fall < best) {
			return
		}
		best = fall
		copy(out.theta, theta)
		out.rss = rss
		for j := range theta {
			theta[j] += delta[j] / norms[j]
		}
	}
}
