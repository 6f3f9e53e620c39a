package estimate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// Fit is a fitted model. All numbers are finite. The slices belong to the Fit; callers must not change them.
type Fit struct {
	// Names, Theta and SE are the parameters in the order of the model, their estimates and their standard errors
	// √Covariance[j][j].
	Names     []string
	Theta, SE []float64
	// Covariance is s²·(JᵀWJ)⁻¹: right for independent errors with variance σ²/w only.
	Covariance [][]float64
	// RSS is Σ w·(y−f)², DF is N minus the number of parameters, ResidualSD is √(RSS/DF), called s.
	RSS, ResidualSD float64
	N, DF           int
	Criteria
	// Fitted is f(xᵢ) in the order of the data.
	Fitted []float64
	// Condition is the condition number of √W·J with columns scaled to length 1, in the Frobenius norm: |R|·|R⁻¹|, R being its
	// triangular factor. It lies between the ratio of the largest to the smallest singular value and p times that.
	Condition float64
	// Starts is how many starts were fitted, Agreed how many of them led here.
	Starts, Agreed int
	// Checks are the checks made, in fixed order, all of them kept (LeastSquares makes fewer than Search).
	Checks []Check

	problem *problem
	upper   []float64 // R of √W·J with columns scaled to length 1, p×p with zeros below the diagonal
	norms   []float64 // their lengths before
	offset  float64   // scaled gradient, see converge.go
}

// newFit evaluates everything at the end of a descent. It returns NoFit if JᵀWJ cannot be inverted or a result is not finite.
func (s *search) newFit(d descent) (*Fit, error) {
	if !s.moveTo(d.theta) {
		return nil, noFit(Check{Name: CheckFinite, Rule: AtLeast, Tolerance: 1}, "the model has no value or no gradient where the search ended")
	}
	pr, at := s.problem, s.here
	f := &Fit{Names: pr.names, Theta: d.theta, RSS: at.rss, N: pr.n, DF: pr.n - pr.p, Starts: 1, Agreed: 1, problem: pr,
		Fitted: slices.Clone(at.fitted), SE: make([]float64, pr.p), norms: slices.Clone(at.norms)}
	f.ResidualSD = math.Sqrt(f.RSS / float64(f.DF))
	s.step.factorise(at, f.norms)
	f.upper = s.step.upper()
	inverse := blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: pr.p, Stride: pr.p, Data: slices.Clone(f.upper)}
	f.Condition = math.Inf(1)
	if lapack64.Trtri(inverse) {
		f.Condition = floats.Norm(f.upper, 2) * floats.Norm(inverse.Data, 2)
	}
	curved := Check{Name: CheckCondition, Measured: f.Condition, Rule: AtMost, Tolerance: largestCondition}
	if !curved.Kept() {
		return nil, noFit(curved, "the points do not tell the parameters apart")
	}
	f.offset = floats.Norm(s.step.qtr(), 2) / (math.Sqrt(f.RSS) + pr.noise*noiseRoom)
	f.Covariance = make([][]float64, pr.p)
	s2 := f.RSS / float64(f.DF)
	for j, room := 0, make([]float64, pr.p*pr.p); j < pr.p; j++ {
		f.Covariance[j], room = room[:pr.p:pr.p], room[pr.p:]
		row := inverse.Data[j*pr.p : (j+1)*pr.p]
		for k := range pr.p {
			f.Covariance[j][k] = s2 * dot(row, inverse.Data[k*pr.p:(k+1)*pr.p]) / f.norms[j] / f.norms[k]
		}
		f.SE[j] = math.Sqrt(f.Covariance[j][j])
	}
	f.Criteria = pr.criteria(f.RSS, pr.p)
	if !allFinite(f.Theta...) || !allFinite(f.SE...) || !allFinite(f.LogLik, f.AIC, f.BIC, f.offset) || !allFinite(f.Fitted...) {
		return nil, noFit(Check{Name: CheckFinite, Rule: AtLeast, Tolerance: 1}, "a result is too large or too small for a number")
	}
	return f, nil
}

// Model returns the model that was fitted.
func (f *Fit) Model() Model { return f.problem.model }

// Jacobian returns ∂f(xᵢ)/∂θⱼ at the estimates, one row a point, not weighted.
func (f *Fit) Jacobian() *mat.Dense {
	j := mat.NewDense(f.N, len(f.Theta), nil)
	for i, x := range f.problem.data.X {
		f.problem.model.Gradient(x, f.Theta, j.RawRowView(i))
	}
	return j
}

// Weights returns a copy of the weights, one a point.
func (f *Fit) Weights() []float64 {
	w := make([]float64, f.N)
	for i := range w {
		w[i] = f.problem.data.weight(i)
	}
	return w
}

// Residuals returns y − f(x), one a point, not weighted.
func (f *Fit) Residuals() []float64 {
	r := make([]float64, f.N)
	for i, y := range f.problem.data.Y {
		r[i] = y - f.Fitted[i]
	}
	return r
}

// Correlation returns the correlations of the parameter estimates.
func (f *Fit) Correlation() [][]float64 {
	c := make([][]float64, len(f.Theta))
	for j := range c {
		c[j] = make([]float64, len(f.Theta))
		for k := range c[j] {
			switch {
			case j == k:
				c[j][k] = 1
			case f.SE[j] > 0 && f.SE[k] > 0:
				c[j][k] = f.Covariance[j][k] / (f.SE[j] * f.SE[k])
			}
		}
	}
	return c
}

// Parameter returns the estimate and the standard error of a named parameter.
func (f *Fit) Parameter(name string) (value, se float64, ok bool) {
	if j := slices.Index(f.Names, name); j >= 0 {
		return f.Theta[j], f.SE[j], true
	}
	return 0, 0, false
}
