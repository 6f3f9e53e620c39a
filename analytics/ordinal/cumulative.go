package ordinal

import (
	"math"

	"vinetally/analytics/posdef"
)

// Cumulative is a fitted cumulative link model,
//
//	P(Y ≤ j) = F(θ_j − x·β),
//
// or, with a slope for each cut, P(Y ≤ j) = F(a_j + b_j·x), or, with a spread σ known for each row, P(Y ≤ j) = F((θ_j − x·β)/σ).
type Cumulative struct {
	Link   Link
	Stages []string // those that were seen
	Empty  []string // those that were not
	Cuts   []string
	// Coef are the cuts θ and then the slopes β; with a slope for each cut the intercepts a and then the slopes b.
	Coef     []float64
	Observed [][]float64 // covariance by the observed information
	Expected [][]float64 // and by the expected information
	// LogLikKernel is Σ n·ln π, LogLik has the multinomial coefficients too.
	LogLikKernel, LogLik float64
	Deviance             float64 // against a model that fits each row exactly
	DF                   int
	separate, spread     bool
}

// Proportional fits one slope for all cuts. Without covariates it fits the cuts alone.
func Proportional(d Data, link Link) (*Cumulative, error) { return oneSlope(d, link, nil) }

// Spread fits one slope for all cuts where the spread of the fruit about it is known for each row up to a factor, which the cuts and slopes
// take in: it divides θ_j − x·β. One that doesn't change gives the same shares as Proportional.
func Spread(d Data, link Link, spread []float64) (*Cumulative, error) {
	if len(spread) != len(d.X) {
		return nil, refuse("there are %d spreads for %d rows", len(spread), len(d.X))
	}
	for i, s := range spread {
		if !(s > 0) || math.IsInf(s, 1) {
			return nil, refuse("row %d has a spread of %v; it must be above 0", i+1, s)
		}
	}
	return oneSlope(d, link, spread)
}

func oneSlope(d Data, link Link, spread []float64) (*Cumulative, error) {
	m, err := newModel(d, link, false)
	if err != nil {
		return nil, err
	}
	m.spread = spread
	start := make([]float64, m.cuts+m.covariates)
	below, all := 0.0, 0.0
	for _, row := range m.d.Counts {
		all += total(row)
	}
	for j := range m.cuts {
		for _, row := range m.d.Counts {
			below += row[j]
		}
		start[j] = link.Inverse(below/all) * m.spreadOf(0)
	}
	return m.fit(start)
}

// Separate fits a slope for each cut, of one covariate.
func Separate(d Data, link Link) (*Cumulative, error) {
	parallel, err := Proportional(d, link)
	if err != nil {
		return nil, err
	}
	m, err := newModel(d, link, true)
	if err != nil {
		return nil, err
	}
	if m.covariates != 1 {
		return nil, refuse("a slope for each cut is fitted for one covariate")
	}
	start := make([]float64, 2*m.cuts)
	for j := range m.cuts {
		start[j], start[m.cuts+j] = parallel.Coef[j], -parallel.Coef[m.cuts]
	}
	return m.fit(start)
}

// Probabilities are the shares of the stages under a condition, with their standard errors by the delta method on the observed information.
func (c *Cumulative) Probabilities(x []float64) (shares, se []float64) {
	return c.SpreadProbabilities(x, 1)
}

// SpreadProbabilities are those of a fit by Spread, where the spread is the one given.
func (c *Cumulative) SpreadProbabilities(x []float64, spread float64) (shares, se []float64) {
	m := &model{link: c.Link, cuts: len(c.Cuts), covariates: len(x), separate: c.separate}
	for _, p := range m.shares(c.Coef, x, spread) {
		variance := posdef.Quadratic(c.Observed, p.gradient)
		shares, se = append(shares, p.value), append(se, math.Sqrt(max(variance, 0)))
	}
	return shares, se
}

// Crossing is the value of the first covariate at which a share of the fruit is beyond a cut, with its standard error by the
// delta method on the observed information.
type Crossing struct{ At, SE float64 }

// Beyond is where the share p has passed a cut, the other covariates at 0.
func (c *Cumulative) Beyond(cut int, p float64) (Crossing, error) {
	if c.spread {
		return Crossing{}, refuse("where a share is reached depends on how the spread changes, which the fit isn't told")
	}
	cuts := len(c.Cuts)
	slope, sign := cuts, -1.0
	if c.separate {
		slope, sign = cuts+cut, 1
	}
	if slope >= len(c.Coef) || c.Coef[slope] == 0 {
		return Crossing{}, refuse("without a covariate that moves the stages no share is reached anywhere")
	}
	b := sign * c.Coef[slope]
	x := (c.Link.Inverse(1-p) - c.Coef[cut]) / b
	v := c.Observed
	variance := v[cut][cut] + 2*x*sign*v[cut][slope] + x*x*v[slope][slope]
	return Crossing{x, math.Sqrt(variance) / math.Abs(b)}, nil
}

// Delay is how much later, in the first covariate, the stages come for one more of another covariate: −β_k/β_1, in a model of one slope for all
// cuts.
func (c *Cumulative) Delay(covariate int) (Crossing, error) {
	cuts := len(c.Cuts)
	k := cuts + covariate
	if c.separate || covariate < 1 || k >= len(c.Coef) || c.Coef[cuts] == 0 {
		return Crossing{}, refuse("a delay is that of a further covariate in a model of one slope")
	}
	x, v := -c.Coef[k]/c.Coef[cuts], c.Observed
	variance := v[k][k] + 2*x*v[k][cuts] + x*x*v[cuts][cuts]
	return Crossing{x, math.Sqrt(variance) / math.Abs(c.Coef[cuts])}, nil
}
