package estimate

import (
	"math"
	"slices"
)

// Bounds of the search. They stop runaways; ordinary problems take 5 to 30 steps, the hardest of the tests some hundred.
const (
	maxSteps       = 600
	firstDamping   = 1e-3
	largestDamping = 1e18
	relativeStep   = 1e-10 // a scaled step this small, relative to the scaled parameters, ends the search
	maxPolish      = 40
)

// descent is where one start led.
type descent struct {
	theta []float64
	rss   float64
	steps int
	ok    bool // false: the model has no value at the start
}

// search is a problem with the memory that its descents share.
type search struct {
	*problem
	here, next *point
	step       stepper
	scale      []float64
	points     [2]point
}

func newSearch(pr *problem) *search {
	n, p := pr.n, pr.p
	room := make(room, 2*(2*n+n*p+2*p)+(p+1)*(n+2*p)+2*p)
	s := &search{problem: pr, points: [2]point{pr.newPoint(&room), pr.newPoint(&room)}, step: newStepper(n, p, &room), scale: room.take(p)}
	s.here, s.next = &s.points[0], &s.points[1]
	return s
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
func (s *search) descend(start []float64) descent {
	copy(s.here.theta, start)
	if !s.evaluate(s.here) {
		return descent{theta: slices.Clone(start)}
	}
	clear(s.scale)
	damping, growth := firstDamping, 2.0
	fresh := true // here has not been factorised yet
	steps := 0
	for ; steps < maxSteps && damping < largestDamping; steps++ {
		if fresh {
			for j, norm := range s.here.norms {
				s.scale[j] = math.Max(s.scale[j], norm)
			}
			s.step.factorise(s.here, s.scale)
			fresh = false
		}
		delta, fall := s.step.solve(damping) // delta is scaled: D·δ
		if !allFinite(delta...) {
			damping, growth = damping*growth, growth*2
			continue
		}
		var size, reach float64
		for j, d := range delta {
			next := s.here.theta[j] + d/s.scale[j]
			s.next.theta[j] = next
			size += d * d
			reach += s.scale[j] * s.scale[j] * next * next
		}
		small := math.Sqrt(size) <= relativeStep*math.Sqrt(reach) || fall <= epsilon*s.here.rss
		gain := -1.0
		if s.evaluate(s.next) && fall > 0 {
			gain = (s.here.rss - s.next.rss) / fall
		}
		if gain > 0 {
			s.here, s.next = s.next, s.here
			fresh = true
			ease := 2*gain - 1
			damping *= math.Max(1.0/3, 1-ease*ease*ease)
			growth = 2
		} else {
			damping, growth = damping*growth, growth*2
		}
		if small {
			break
		}
	}
	return descent{theta: slices.Clone(s.here.theta), rss: s.here.rss, steps: steps, ok: true}
}

// polish takes full Gauss–Newton steps as long as they shrink and still change the parameters, and so carries these to rounding level.
// It leaves here where it ended.
func (s *search) polish(out *descent) {
	if !s.moveTo(out.theta) {
		return
	}
	best := math.Inf(1)
	for range maxPolish {
		copy(s.scale, s.here.norms)
		s.step.factorise(s.here, s.scale)
		delta, fall := s.step.solve(0)
		if !allFinite(delta...) || !(fall < best) {
			return
		}
		best = fall
		copy(out.theta, s.here.theta)
		out.rss = s.here.rss
		moved := false
		for j, d := range delta {
			s.next.theta[j] = s.here.theta[j] + d/s.scale[j]
			moved = moved || s.next.theta[j] != s.here.theta[j]
		}
		// Two sums of squares that differ by rounding alone count as equal; the length of the step decides then.
		if !moved || !s.evaluate(s.next) || s.next.rss > out.rss*(1+1e-12)+s.noise*s.noise {
			return
		}
		s.here, s.next = s.next, s.here
	}
}

// moveTo evaluates here at theta, unless it was there already.
func (s *search) moveTo(theta []float64) (ok bool) {
	if s.here.known && slices.Equal(s.here.theta, theta) {
		return true
	}
	copy(s.here.theta, theta)
	return s.evaluate(s.here)
}
