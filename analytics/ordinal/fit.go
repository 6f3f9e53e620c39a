package ordinal

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"vinetally/analytics/posdef"
)

const (
	mostIterations = 200
	mostHalvings   = 40
	// settled is the relative gain in log-likelihood that a step promises when Newton's method doubles the digits by itself, and
	// the log-likelihood has none left to tell a better point by.
	settled = 1e-10
	// worstCondition of an information with a unit diagonal that is still solved.
	worstCondition = 1e13
)

// fit climbs by Newton's method, halving steps that don't go up, with the expected information where the observed one isn't
// positive definite.
func (m *model) fit(coef []float64) (*Cumulative, error) {
	now := m.logLik(coef)
	for range mostIterations {
		score, observed, expected := m.information(coef)
		step, ok := posdef.Solve(observed, score, worstCondition)
		if !ok {
			if step, ok = posdef.Solve(expected, score, worstCondition); !ok {
				return nil, refuse("the covariates aren't independent, or a line separates the stages completely")
			}
		}
		gain := floats.Dot(step, score)
		if gain < settled*(math.Abs(now)+1) {
			return m.polish(coef, step)
		}
		next, better := now, false
		for range mostHalvings {
			trial := make([]float64, len(coef))
			for k := range coef {
				trial[k] = coef[k] + step[k]
			}
			if next = m.logLik(trial); next >= now {
				coef, better = trial, true
				break
			}
			for k := range step {
				step[k] /= 2
			}
		}
		if !better {
			return nil, refuse("the fit didn't settle: no step improves it")
		}
		now = next
	}
	return nil, errSeparated
}

var errSeparated = refuse("a line separates the stages completely; more fruit between are needed")

// certain is the log-likelihood beyond which nothing is left to chance.
const certain = 1e-6

// wild tells whether a cut has an error so large, on the scale of the link, that it goes to infinity by small steps.
func (m *model) wild(covariance [][]float64) bool {
	const far = 1e3 // the link tells no share from 0 or 1 beyond 30
	spread := 0.0
	for _, x := range m.d.X {
		for _, v := range x {
			spread = max(spread, math.Abs(v))
		}
	}
	for j := range m.cuts {
		if math.Sqrt(covariance[j][j]) > far*(1+spread) {
			return true
		}
	}
	// A group all of one stage takes its own slope to infinity and leaves the cuts alone.
	for i, row := range m.d.Counts {
		if total(row) == 0 {
			continue
		}
		at := m.cutsAt(make([]float64, m.size()), m.d.X[i], m.spreadOf(i))
		for _, c := range at[1 : m.cuts+1] {
			if !(posdef.Quadratic(covariance, c.design) < far*far) {
				return true
			}
		}
	}
	return false
}

// polish takes the last steps unguarded.
func (m *model) polish(coef, step []float64) (*Cumulative, error) {
	for range 3 {
		next := make([]float64, len(coef))
		for k := range coef {
			next[k] = coef[k] + step[k]
		}
		coef = next
		score, observed, _ := m.information(coef)
		var ok bool
		if step, ok = posdef.Solve(observed, score, worstCondition); !ok {
			return nil, errSeparated
		}
	}
	return m.finish(coef, m.logLik(coef))
}

func (m *model) finish(coef []float64, kernel float64) (*Cumulative, error) {
	_, observed, expected := m.information(coef)
	c := &Cumulative{Link: m.link, Stages: m.d.Stages, Empty: m.empty, Coef: coef, LogLikKernel: kernel, LogLik: kernel, separate: m.separate, spread: m.spread != nil}
	var ok, also bool
	c.Observed, ok = posdef.Invert(observed, worstCondition)
	c.Expected, also = posdef.Invert(expected, worstCondition)
	if !ok || !also || kernel > -certain || m.wild(c.Observed) {
		return nil, errSeparated
	}
	for j := range m.cuts {
		c.Cuts = append(c.Cuts, CutName(m.d.Stages[j], m.d.Stages[j+1]))
	}
	saturated := 0.0
	for _, row := range m.d.Counts {
		all := total(row)
		if all > 0 {
			c.DF += m.cuts
		}
		c.LogLik += factorial(all)
		for _, n := range row {
			c.LogLik -= factorial(n)
			if n > 0 {
				saturated += n * math.Log(n/all)
			}
		}
	}
	c.Deviance = 2 * (saturated - kernel)
	c.DF -= len(coef)
	return c, nil
}

// factorial is ln n!.
func factorial(n float64) float64 {
	l, _ := math.Lgamma(n + 1)
	return l
}
