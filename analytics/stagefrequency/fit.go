package stagefrequency

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"vinetally/analytics/ordinal"
	"vinetally/analytics/posdef"
)

// Variance says how the variance of development changes with time.
type Variance int

// The variances.
const (
	Proportional Variance = iota // b²·t; times are counted from the start of development, and are above 0
	Constant                     // b²
)

func (v Variance) spread(t float64) float64 {
	if v == Constant {
		return 1
	}
	return math.Sqrt(t)
}

// Visits are counts by stage, or shares times the number of fruit that they rest on, at times in any unit.
type Visits struct {
	Times  []float64
	Stages []string    // in order
	Counts [][]float64 // a row for each time, a column for each stage
}

// Fit is a fitted model.
type Fit struct {
	Variance Variance
	// Stages are those that were seen, Empty the others, which are left out; Cuts name the passages between neighbours.
	Stages, Empty, Cuts []string
	// A are the a_j, in units of time, one for each cut: for a symmetric link the time at which half of the fruit have passed it.
	A []float64
	// B2 is b², in units of time, or with a constant variance in their square.
	B2 float64
	// Covariance is of A and then B2, by the observed information.
	Covariance [][]float64
	// LogLikKernel is Σ n·ln π, without the multinomial coefficients.
	LogLikKernel float64
	// G2 = 2·Σ n·ln(n/(N·π)) and Pearson = Σ (n − N·π)²/(N·π) are on DF degrees of freedom if N·π isn't small, which it is for
	// stages that come long before or after.
	G2, Pearson float64
	DF          int
	// Linear is the same fit in θ and β.
	Linear *ordinal.Cumulative
	// Warnings say in words what to mind.
	Warnings []string
}

func refuse(format string, args ...any) error {
	return &ordinal.Refusal{Reason: fmt.Sprintf(format, args...)}
}

// New fits the model by maximum likelihood. An error is an *ordinal.Refusal: counts that don't fit the stages or the times, too few
// fruit between two stages to tell a time, stages that don't advance.
func New(v Visits, variance Variance, link ordinal.Link) (*Fit, error) {
	if len(v.Times) != len(v.Counts) {
		return nil, refuse("there are %d times for %d rows of counts", len(v.Times), len(v.Counts))
	}
	d := ordinal.Data{Stages: v.Stages, Counts: v.Counts}
	spread := make([]float64, len(v.Times))
	for i, t := range v.Times {
		if math.IsNaN(t) || math.IsInf(t, 0) {
			return nil, refuse("the time of row %d is %v", i+1, t)
		}
		if variance == Proportional && t <= 0 {
			return nil, refuse("the time of row %d is %v; where the variance grows with time, times count from the start of development and must be above 0", i+1, t)
		}
		d.X, spread[i] = append(d.X, []float64{t}), variance.spread(t)
	}
	c, err := ordinal.Spread(d, link, spread)
	if err != nil {
		return nil, err
	}
	cuts := len(c.Cuts)
	beta := c.Coef[cuts]
	if !(beta > 0) {
		return nil, refuse("later visits don't show later stages, so that no time of passing can be told")
	}
	f := &Fit{Variance: variance, Stages: c.Stages, Empty: c.Empty, Cuts: c.Cuts, B2: 1 / (beta * beta),
		LogLikKernel: c.LogLikKernel, G2: c.Deviance, DF: c.DF, Linear: c}
	jacobian := mat.NewDense(cuts+1, cuts+1, nil) // of a and b² in θ and β
	for j, theta := range c.Coef[:cuts] {
		f.A = append(f.A, theta/beta)
		jacobian.Set(j, j, 1/beta)
		jacobian.Set(j, cuts, -theta/(beta*beta))
	}
	jacobian.Set(cuts, cuts, -2/(beta*beta*beta))
	f.Covariance = transform(jacobian, c.Observed)
	f.Pearson = f.pearson(v, c.Empty)
	f.warn(v)
	return f, nil
}

// transform is J·V·Jᵀ.
func transform(j *mat.Dense, v [][]float64) [][]float64 {
	n := len(v)
	covariance := mat.NewDense(n, n, nil)
	for i, row := range v {
		covariance.SetRow(i, row)
	}
	var half, whole mat.Dense
	half.Mul(j, covariance)
	whole.Mul(&half, j.T())
	out := make([][]float64, n)
	for i := range out {
		out[i] = mat.Row(nil, i, &whole)
	}
	return out
}

// SE are the standard errors of A and then B2.
func (f *Fit) SE() []float64 { return posdef.StandardErrors(f.Covariance) }

// Shares are the shares of the stages at a time, with their standard errors by the delta method.
func (f *Fit) Shares(t float64) (shares, se []float64, err error) {
	if math.IsNaN(t) || math.IsInf(t, 0) || f.Variance == Proportional && t <= 0 {
		return nil, nil, refuse("at the time %v the model tells no shares", t)
	}
	shares, se = f.Linear.SpreadProbabilities([]float64{t}, f.Variance.spread(t))
	return shares, se, nil
}
