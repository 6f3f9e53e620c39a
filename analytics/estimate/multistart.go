package estimate

import (
	"fmt"
	"math"
	"slices"
)

// FitCurve fits a family to data from the family's own starts and checks the fit (see Search).
//
// It needs three points more than the family has parameters (six for the logistic), since the AICc is not defined for
// fewer, and as many different x as parameters.
func FitCurve(c Curve, d Data) (*Fit, error) {
	re, mapped := c.(reparameterised)
	if !mapped {
		if err := d.check(); err != nil {
			return nil, err
		}
		if err := d.enough(len(c.Names())+3, len(c.Names())); err != nil {
			return nil, err
		}
		starts, err := c.Starts(d)
		if err != nil {
			return nil, err
		}
		return Search(c, d, starts)
	}
	found, err := FitCurve(re.inner(), d)
	if err != nil {
		return nil, err
	}
	start := re.fromInner(found.Theta)
	if !allFinite(start...) {
		return nil, noFit(Check{Name: CheckFinite, Rule: AtLeast, Tolerance: 1}, "the parameters of this form are too large for a number; count x from nearer the points")
	}
	f, err := LeastSquares(c, d, start)
	if err != nil {
		return nil, err
	}
	// Same curve, same sum of squares: the checks of the search hold for it. Its own condition and gradient replace theirs.
	f.Starts, f.Agreed = found.Starts, found.Agreed
	own := f.Checks
	f.Checks = slices.Clone(found.Checks)
	for _, o := range own {
		if i := slices.IndexFunc(f.Checks, func(c Check) bool { return c.Name == o.Name }); i >= 0 {
			f.Checks[i] = o
		}
	}
	return f, nil
}

// Search fits a model from every start and returns the best fit if it can be believed.
//
// The best is the one with the smallest sum of squares; among ends that are equal in that to a relative 1e-8 the one of the
// earliest start. It is believed if the checks of converge.go hold: several starts lead to it in sum of squares and in
// parameters, JᵀWJ is positive definite and well conditioned, the scaled gradient is small, the sum of squares rises in
// every direction, the fit beats the weighted mean by an F test, and no limit of the family is reached. Else NoFit names
// the first check that failed. TooFew: fewer than three points more than parameters. Invalid: bad data, or fewer than two
// different starts.
func Search(m Model, d Data, starts [][]float64) (*Fit, error) {
	pr, err := prepare(m, d, 3)
	if err != nil {
		return nil, err
	}
	if d.TotalSquares() <= pr.noise*pr.noise {
		return nil, noFit(Check{Name: CheckStructure, Measured: 1, Rule: AtMost, Tolerance: noStructure}, "every y is the same")
	}
	s := newSearch(pr)
	var ends []descent
	seen := make([][]float64, 0, len(starts))
	for _, start := range starts {
		if err := checkStart(start, pr.p); err != nil {
			return nil, err
		}
		if slices.ContainsFunc(seen, func(before []float64) bool { return slices.Equal(before, start) }) {
			continue
		}
		seen = append(seen, start)
		if out := s.descend(start); out.ok {
			ends = append(ends, out)
		}
	}
	if len(seen) < 2 {
		return nil, &Invalid{What: "starts", Row: -1, Detail: fmt.Sprintf("are %d different ones; give at least 2, or use LeastSquares", len(seen))}
	}
	found := Check{Name: CheckFinite, Measured: float64(len(ends)), Rule: AtLeast, Tolerance: 1}
	if !found.Kept() {
		return nil, noFit(found, "the model has no value at any start")
	}
	end := s.best(ends)
	checks := []Check{found}
	if c, ok := m.(Curve); ok {
		// First, since a runaway also fails most of the others, and this says best what is wrong.
		for _, l := range limitChecks(c.Limits(pr.data, end.theta)) {
			if !l.Kept() {
				return nil, noFit(l, "the parameter runs away from the points")
			}
			checks = append(checks, l)
		}
	}
	f, err := s.newFit(end)
	if err != nil {
		return nil, err
	}
	f.Starts, f.Agreed = len(seen), 0
	for _, e := range ends {
		if !f.sameAs(e) {
			s.polish(&e) // it may have stopped a little short
		}
		if f.sameAs(e) {
			f.Agreed++
		}
	}
	checks = append(checks, Check{Name: CheckCondition, Measured: f.Condition, Rule: AtMost, Tolerance: largestCondition})
	for _, c := range []struct {
		Check
		detail string
	}{
		{Check{Name: CheckAgreement, Measured: float64(f.Agreed), Rule: AtLeast, Tolerance: float64(min(3, len(seen)))}, "too few starts lead to the best fit for it to be trusted"},
		{f.gradientCheck(), gradientDetail},
		{f.curvatureCheck(), "the search stopped on a saddle or a plain, not at a minimum"},
		{f.structureCheck(), "the points are described as well by their mean"},
	} {
		if !c.Kept() {
			return nil, noFit(c.Check, c.detail)
		}
		checks = append(checks, c.Check)
	}
	f.Checks = checks
	return f, nil
}

// best picks the end with the smallest sum of squares, the earliest of those that are equal but for rounding, and polishes it.
func (s *search) best(ends []descent) descent {
	least := math.Inf(1)
	for _, e := range ends {
		least = math.Min(least, e.rss)
	}
	i := slices.IndexFunc(ends, func(e descent) bool {
		return e.rss <= least*(1+sameSquares)+s.noise*s.noise*float64(s.n)
	})
	best := ends[i]
	s.polish(&best)
	best.theta = s.canonical(best.theta)
	return best
}

// SearchAround is Search for a model that cannot find its own starts: from Around(start), and then from around the best
// end of those as well. That end has to be found again from there, and nothing better, for the starts to agree.
func SearchAround(m Model, d Data, start []float64) (*Fit, error) {
	if err := checkStart(start, len(m.Names())); err != nil {
		return nil, err
	}
	pr, err := prepare(m, d, 3)
	if err != nil {
		return nil, err
	}
	starts, s := Around(start), newSearch(pr)
	var best descent
	for _, from := range starts {
		if out := s.descend(from); out.ok && (!best.ok || out.rss < best.rss) {
			best = out
		}
	}
	if best.ok && allFinite(best.theta...) {
		starts = append(starts, Around(best.theta)...)
	}
	// A perturbed start can overflow where the parameters are huge.
	starts = slices.DeleteFunc(starts, func(s []float64) bool { return !allFinite(s...) })
	return Search(m, d, starts)
}

// Around returns a start and perturbed ones, for a model that cannot find its own: each parameter in turn, then all of
// them, multiplied by a half and 2, a tenth and 10, a hundredth and 100 (a zero becomes the factor's binary logarithm).
// Starts that are wrong by an order of magnitude are common in practice.
func Around(start []float64) [][]float64 {
	out := [][]float64{slices.Clone(start)}
	vary := func(v, factor float64) float64 {
		if v == 0 {
			return math.Log2(factor)
		}
		return v * factor
	}
	for _, factor := range []float64{0.5, 2, 0.1, 10, 0.01, 100} {
		all := slices.Clone(start)
		for j := range start {
			one := slices.Clone(start)
			one[j] = vary(one[j], factor)
			all[j] = one[j]
			out = append(out, one)
		}
		if len(start) > 1 {
			out = append(out, all)
		}
	}
	return out
}
