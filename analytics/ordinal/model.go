package ordinal

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"vinetally/analytics/posdef"
)

// model is a cumulative link model before it is fitted: its cuts are at η_j = z_j·γ with the coefficients γ.
type model struct {
	d                Data
	link             Link
	cuts, covariates int
	separate         bool
	empty            []string
}

func newModel(d Data, link Link, separate bool) (*model, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	kept, empty := d.seen()
	if len(kept.Stages) < 2 {
		return nil, refuse("all fruit are of one stage; a fit wants fruit of two or more")
	}
	return &model{d: kept, link: link, cuts: len(kept.Stages) - 1, covariates: len(d.X[0]), separate: separate, empty: empty}, nil
}

func (m *model) size() int {
	if m.separate {
		return 2 * m.cuts
	}
	return m.cuts + m.covariates
}

// share is the probability of a stage, with its gradient and the cuts on its two sides.
type share struct {
	value        float64
	gradient     []float64
	upper, lower cutAt
}

// cutAt is F at a cut, with the density, its derivative and the design of η.
type cutAt struct {
	F, f, slope float64
	design      []float64
}

func (m *model) cutsAt(coef, x []float64) []cutAt {
	at := make([]cutAt, m.cuts+2)
	n := m.size()
	at[0] = cutAt{design: make([]float64, n)}
	at[m.cuts+1] = cutAt{F: 1, design: make([]float64, n)}
	for j := range m.cuts {
		z := make([]float64, n)
		z[j] = 1
		if m.separate {
			z[m.cuts+j] = x[0]
		} else {
			for k, v := range x {
				z[m.cuts+k] = -v
			}
		}
		eta := 0.0
		for k, v := range z {
			eta += v * coef[k]
		}
		c := cutAt{design: z}
		c.F, c.f, c.slope = m.link.at(eta)
		at[j+1] = c
	}
	return at
}

func (m *model) shares(coef, x []float64) []share {
	at := m.cutsAt(coef, x)
	out := make([]share, m.cuts+1)
	for s := range out {
		lower, upper := at[s], at[s+1]
		g := make([]float64, m.size())
		for k := range g {
			g[k] = upper.f*upper.design[k] - lower.f*lower.design[k]
		}
		out[s] = share{value: upper.F - lower.F, gradient: g, upper: upper, lower: lower}
	}
	return out
}

// logLik is Σ n·ln π; −Inf where the cuts are out of order.
func (m *model) logLik(coef []float64) float64 {
	sum := 0.0
	for i, row := range m.d.Counts {
		at := m.cutsAt(coef, m.d.X[i])
		for s, n := range row {
			if n == 0 {
				continue
			}
			p := at[s+1].F - at[s].F
			if !(p > 0) {
				return math.Inf(-1)
			}
			sum += n * math.Log(p)
		}
	}
	return sum
}

// information returns the score, and the observed and the expected information.
func (m *model) information(coef []float64) (score []float64, observed, expected *mat.SymDense) {
	n := m.size()
	score = make([]float64, n)
	observed, expected = mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
	for i, row := range m.d.Counts {
		all := total(row)
		for s, p := range m.shares(coef, m.d.X[i]) {
			if !(p.value > 0) {
				continue
			}
			c := row[s]
			for a := range n {
				score[a] += c * p.gradient[a] / p.value
				for b := a; b < n; b++ {
					product := p.gradient[a] * p.gradient[b] / p.value
					expected.SetSym(a, b, expected.At(a, b)+all*product)
					second := p.upper.slope*p.upper.design[a]*p.upper.design[b] - p.lower.slope*p.lower.design[a]*p.lower.design[b]
					observed.SetSym(a, b, observed.At(a, b)+c*(product/p.value-second/p.value))
				}
			}
		}
	}
	return score, observed, expected
}

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
		gain := 0.0
		for k := range step {
			gain += step[k] * score[k]
		}
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
		at := m.cutsAt(make([]float64, m.size()), m.d.X[i])
		for _, c := range at[1 : m.cuts+1] {
			variance := 0.0
			for a, u := range c.design {
				for b, v := range c.design {
					variance += u * v * covariance[a][b]
				}
			}
			if !(variance < far*far) {
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
	c := &Cumulative{Link: m.link, Stages: m.d.Stages, Empty: m.empty, Coef: coef, LogLikKernel: kernel, LogLik: kernel, separate: m.separate}
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
