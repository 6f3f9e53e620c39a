package estimate

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
)

// The checks after a fit. Each has its measured number and the tolerance that it had to keep. They stand in this order in
// Fit.Checks; the first that fails is the one in NoFit.
const (
	// CheckFinite: starts that led to finite parameters, errors and criteria.
	CheckFinite = "finite ends"
	// CheckLimit is the start of the name of a check that a limit of the family was kept; the name of the limit follows.
	CheckLimit = "limit of "
	// CheckCondition: condition number of √W·J with columns scaled to length 1. It is finite if and only if JᵀWJ is
	// positive definite; at 1e8 half the digits of a float64 are gone.
	CheckCondition = "condition number"
	// CheckAgreement: starts that led to the same sum of squares and the same parameters.
	CheckAgreement = "starts that agree"
	// CheckGradient: |Qᵀr|/|r|, the cosine of the angle between the residuals and the tangent plane of the model
	// (Bates and Watts 1988, Nonlinear Regression Analysis and Its Applications, section 2.2.3).
	CheckGradient = "scaled gradient"
	// CheckCurvature: smallest second difference of the sum of squares along the principal directions of JᵀWJ, as a
	// share of what JᵀWJ says. A minimum has them all above 0; JᵀWJ alone can't tell one from a saddle.
	CheckCurvature = "curvature"
	// CheckStructure: probability of so much less scatter than about the weighted mean if there were no structure, by
	// the F test of regression.
	CheckStructure = "p of no structure"
)

// Rules of a Check.
const (
	AtLeast = "at least"
	AtMost  = "at most"
)

const (
	largestCondition = 1e8
	// smallGradient is far above rounding level (1e-15 to 1e-13 for the growth curves of the tests, up to 1e-9 for the hardest NIST problems) and far below what moves an
	// estimate visibly: at 1e-6 it is within a millionth of its standard error or so.
	smallGradient = 1e-6
	// noiseRoom lets points that lie exactly on the curve pass the gradient check: there the residuals are rounding
	// noise, and so is their direction.
	noiseRoom = 1e8
	// noStructure is a level that clear curves of six points keep and noise seldom does. The AICc is no use here: its
	// penalty for six points and four parameters is 40, and refuses curves that anybody can see.
	noStructure = 0.01
	// leastCurvature is above the rounding of a second difference over a tenth of a standard error.
	leastCurvature = 1e-3
	// sameSquares and sameErrors say when two starts agree: sums of squares within a relative 1e-8, and each parameter
	// within 1e-4 of its standard error.
	sameSquares = 1e-8
	sameErrors  = 1e-4
)

const gradientDetail = "the search stopped short of a minimum"

// Check is one check of a fit: what was measured, and the tolerance that it must be at least or at most.
type Check struct {
	Name      string
	Measured  float64
	Rule      string
	Tolerance float64
}

// Kept reports whether the measured number is within the tolerance; NaN never is.
func (c Check) Kept() bool {
	if c.Rule == AtLeast {
		return c.Measured >= c.Tolerance
	}
	return c.Measured <= c.Tolerance
}

func (f *Fit) gradientCheck() Check {
	return Check{Name: CheckGradient, Measured: f.offset, Rule: AtMost, Tolerance: smallGradient}
}

// structureCheck compares the fit with the weighted mean. With F = ((TSS − RSS)/(p−1)) / (RSS/(n−p)), the tail probability
// of F is the regularised incomplete beta function I_z((n−p)/2, (p−1)/2) at z = RSS/TSS (Abramowitz and Stegun 1964,
// 26.6.2). It is exact for linear models and the usual approximation for others. A model of one parameter counts as p = 2.
func (f *Fit) structureCheck() Check {
	ratio := min(f.RSS/f.problem.data.TotalSquares(), 1)
	p := mathext.RegIncBeta(float64(f.DF)/2, float64(max(len(f.Theta)-1, 1))/2, ratio)
	return Check{Name: CheckStructure, Measured: p, Rule: AtMost, Tolerance: noStructure}
}

// curvatureCheck measures the sum of squares a tenth of a residual standard deviation away from the minimum, both ways
// along every principal direction of JᵀWJ.
func (f *Fit) curvatureCheck() Check {
	pr := f.problem
	c := Check{Name: CheckCurvature, Measured: math.Inf(1), Rule: AtLeast, Tolerance: leastCurvature}
	var svd mat.SVD
	if !svd.Factorize(mat.NewDense(pr.p, pr.p, f.upper), mat.SVDThinV) {
		c.Measured = 0
		return c
	}
	var v mat.Dense
	svd.VTo(&v)
	// The distance in the space of the residuals; at least what makes its square stand out of the rounding of RSS.
	distance := math.Max(0.1*f.ResidualSD, 1e5*pr.noise)
	r, theta := make([]float64, pr.n), make([]float64, pr.p)
	for k, singular := range svd.Values(nil) {
		var second float64
		for _, side := range []float64{1, -1} {
			for j := range theta {
				theta[j] = f.Theta[j] + side*distance/singular*v.At(j, k)/f.norms[j]
			}
			rss, ok := pr.residuals(theta, r)
			if !ok {
				rss = math.Inf(1)
			}
			second += rss - f.RSS
		}
		c.Measured = math.Min(c.Measured, second/(2*distance*distance))
	}
	c.Measured = finite(c.Measured)
	return c
}

// limitChecks turns the limits of a family, which are open, into checks.
func limitChecks(limits []Limit) []Check {
	checks := make([]Check, 0, len(limits))
	for _, l := range limits {
		c := Check{Name: CheckLimit + l.Name, Measured: finite(l.Value), Rule: AtMost, Tolerance: math.Nextafter(l.Hi, l.Lo)}
		if l.Value <= l.Lo {
			c.Rule, c.Tolerance = AtLeast, math.Nextafter(l.Lo, l.Hi)
		}
		checks = append(checks, c)
	}
	return checks
}

// sameAs reports whether two ends of the search are one solution, errors being those of f.
func (f *Fit) sameAs(d descent) bool {
	if math.Abs(d.rss-f.RSS) > sameSquares*f.RSS+f.problem.noise*f.problem.noise*float64(f.N) {
		return false
	}
	theta := f.problem.canonical(d.theta)
	return !slices.ContainsFunc(indices(theta), func(j int) bool {
		return math.Abs(theta[j]-f.Theta[j]) > sameErrors*f.SE[j]+1e-9*math.Abs(f.Theta[j])
	})
}

func indices(s []float64) []int {
	out := make([]int, len(s))
	for i := range out {
		out[i] = i
	}
	return out
}

func (pr *problem) canonical(theta []float64) []float64 {
	if c, ok := pr.model.(Canonical); ok {
		return slices.Clone(c.Canonical(theta))
	}
	return theta
}
