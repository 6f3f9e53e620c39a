package ordinal

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// model is a cumulative link model before it is fitted: its cuts are at η_j = z_j·γ with the coefficients γ.
type model struct {
	d                Data
	link             Link
	cuts, covariates int
	separate         bool
	empty            []string
	spread           []float64 // what divides η of each row; nil is 1
}

func (m *model) spreadOf(row int) float64 {
	if m.spread == nil {
		return 1
	}
	return m.spread[row]
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

// cutAt is F at a cut and 1 − F, with the density, its derivative and the design of η.
type cutAt struct {
	F, rest, f, slope float64
	design            []float64
}

// between is the probability between two cuts, from the two of four numbers that are small, so that rare stages keep their digits.
func between(lower, upper cutAt) float64 {
	if lower.F > 0.5 {
		return lower.rest - upper.rest
	}
	return upper.F - lower.F
}

func (m *model) cutsAt(coef, x []float64, spread float64) []cutAt {
	at := make([]cutAt, m.cuts+2)
	n := m.size()
	at[0] = cutAt{rest: 1, design: make([]float64, n)}
	at[m.cuts+1] = cutAt{F: 1, design: make([]float64, n)}
	for j := range m.cuts {
		z := make([]float64, n)
		z[j] = 1 / spread
		if m.separate {
			z[m.cuts+j] = x[0] / spread
		} else {
			for k, v := range x {
				z[m.cuts+k] = -v / spread
			}
		}
		eta := 0.0
		for k, v := range z {
			eta += v * coef[k]
		}
		c := cutAt{design: z}
		c.F, c.rest, c.f, c.slope = m.link.at(eta)
		at[j+1] = c
	}
	return at
}

func (m *model) shares(coef, x []float64, spread float64) []share {
	at := m.cutsAt(coef, x, spread)
	out := make([]share, m.cuts+1)
	for s := range out {
		lower, upper := at[s], at[s+1]
		g := make([]float64, m.size())
		for k := range g {
			g[k] = upper.f*upper.design[k] - lower.f*lower.design[k]
		}
		out[s] = share{value: between(lower, upper), gradient: g, upper: upper, lower: lower}
	}
	return out
}

// logLik is Σ n·ln π; −Inf where the cuts are out of order.
func (m *model) logLik(coef []float64) float64 {
	sum := 0.0
	for i, row := range m.d.Counts {
		at := m.cutsAt(coef, m.d.X[i], m.spreadOf(i))
		for s, n := range row {
			if n == 0 {
				continue
			}
			p := between(at[s], at[s+1])
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
		for s, p := range m.shares(coef, m.d.X[i], m.spreadOf(i)) {
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
