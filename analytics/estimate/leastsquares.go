package estimate

import (
	"fmt"
	"slices"
)

// LeastSquares minimises Σ wᵢ·(yᵢ − f(xᵢ; θ))² from one start.
//
// It needs one point more than the model has parameters, and as many different x as parameters; fewer are TooFew. The
// answer is where the search ended with a small scaled gradient and a well-conditioned JᵀWJ, a local minimum at best:
// whether it is the fit is for Search and FitCurve to check. Invalid: bad data or a bad start. NoFit: the search ended
// nowhere.
//
// Accuracy: see the package documentation; on the NIST StRD problems of the tests at least 8 digits of the parameters and
// 6 of the standard errors.
func LeastSquares(m Model, d Data, start []float64) (*Fit, error) {
	pr, err := prepare(m, d, 1)
	if err != nil {
		return nil, err
	}
	if err := checkStart(start, pr.p); err != nil {
		return nil, err
	}
	s := newSearch(pr)
	out := s.descend(start)
	if !out.ok {
		return nil, noFit(Check{Name: CheckFinite, Rule: AtLeast, Tolerance: 1}, "the model has no value at the start")
	}
	s.polish(&out)
	f, err := s.newFit(out)
	if err != nil {
		return nil, err
	}
	f.Checks = append(f.Checks, Check{Name: CheckCondition, Measured: f.Condition, Rule: AtMost, Tolerance: largestCondition})
	gradient := f.gradientCheck()
	if !gradient.Kept() {
		return nil, noFit(gradient, gradientDetail)
	}
	f.Checks = append(f.Checks, gradient)
	return f, nil
}

// prepare checks the data and copies it, so that a Fit doesn't change with its caller's slices. There have to be so many more points than
// parameters.
func prepare(m Model, d Data, more int) (*problem, error) {
	p := len(m.Names())
	if p == 0 {
		return nil, &Invalid{What: "model", Row: -1, Detail: "has no parameters"}
	}
	if err := d.check(); err != nil {
		return nil, err
	}
	if err := d.enough(p+more, p); err != nil {
		return nil, err
	}
	return newProblem(m, Data{X: slices.Clone(d.X), Y: slices.Clone(d.Y), Weight: slices.Clone(d.Weight)}), nil
}

func checkStart(start []float64, p int) error {
	if len(start) != p {
		return &Invalid{What: "start", Row: -1, Detail: fmt.Sprintf("has %d values for %d parameters", len(start), p)}
	}
	for j, v := range start {
		if !allFinite(v) {
			return &Invalid{What: "start", Row: j, Detail: fmt.Sprintf("is %v; it must be a finite number", v)}
		}
	}
	return nil
}
