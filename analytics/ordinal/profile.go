package ordinal

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/posdef"
)

// Profile is an interval by profile likelihood: the values of the first covariate at which the log-likelihood, maximised over all else, falls
// by no more than half a quantile of χ² on one degree of freedom (Venzon and Moolgavkar 1988, Appl. Stat. 37:87–94). An end that the data
// don't give is not ok, and its value is 0.
type Profile struct {
	Low, High     float64
	LowOK, HighOK bool
}

// BeyondProfile is the interval of Beyond at a level of confidence. d are the data of the fit.
func (c *Cumulative) BeyondProfile(d Data, cut int, p, level float64) (Profile, error) {
	at, err := c.Beyond(cut, p)
	if err != nil {
		return Profile{}, err
	}
	m, err := newModel(d, c.Link, c.separate)
	if err != nil {
		return Profile{}, err
	}
	if m.size() != len(c.Coef) {
		return Profile{}, refuse("these aren't the data of the fit: they have other stages or covariates")
	}
	fall := distuv.ChiSquared{K: 1}.Quantile(level) / 2
	best := m.logLik(c.Coef)
	end := func(direction float64) (float64, bool) {
		inside, start := at.At, c.Coef
		var outside float64
		for far := at.SE; ; far *= 1.5 {
			if far > 1e4*at.SE {
				return 0, false
			}
			outside = at.At + direction*far
			coef, height := m.through(start, cut, c.Link.Inverse(1-p), outside)
			if math.IsInf(height, -1) {
				return 0, false
			}
			start = coef
			if best-height > fall {
				break
			}
			inside = outside
		}
		for range 60 {
			middle := (inside + outside) / 2
			var height float64
			if start, height = m.through(start, cut, c.Link.Inverse(1-p), middle); best-height > fall {
				outside = middle
			} else {
				inside = middle
			}
		}
		return (inside + outside) / 2, true
	}
	var out Profile
	out.Low, out.LowOK = end(-1)
	out.High, out.HighOK = end(1)
	return out, nil
}

// through maximises the likelihood with the linear predictor of a cut held at q where the first covariate is x and the others are 0:
// the cut's coefficient follows from its slope. The height is −Inf where there is no maximum.
func (m *model) through(start []float64, cut int, q, x float64) (coef []float64, height float64) {
	slope, rate := m.cuts, x
	if m.separate {
		slope, rate = m.cuts+cut, -x
	}
	held := func(coef []float64) []float64 {
		out := append([]float64(nil), coef...)
		out[cut] = q + rate*out[slope]
		return out
	}
	coef = held(start)
	height = m.logLik(coef)
	if math.IsInf(height, -1) {
		// The cuts came out of order: move them all by as much as the one that is held.
		moved := append([]float64(nil), start...)
		by := coef[cut] - start[cut]
		for j := range m.cuts {
			moved[j] += by
		}
		coef = held(moved)
		if height = m.logLik(coef); math.IsInf(height, -1) {
			return start, height
		}
	}
	for range mostIterations {
		score, observed, expected := m.information(coef)
		s := withoutCut(score, cut, slope, rate)
		step, ok := posdef.Solve(reduce(observed, cut, slope, rate), s, worstCondition)
		if !ok {
			if step, ok = posdef.Solve(reduce(expected, cut, slope, rate), s, worstCondition); !ok {
				return coef, math.Inf(-1)
			}
		}
		gain := floats.Dot(step, s)
		if gain < 1e-12*(1+math.Abs(height)) {
			return coef, height
		}
		better := false
		for range mostHalvings {
			trial := append([]float64(nil), coef...)
			for k, v := range step {
				if k >= cut {
					k++
				}
				trial[k] += v
			}
			trial = held(trial)
			if next := m.logLik(trial); next >= height {
				coef, height, better = trial, next, true
				break
			}
			for k := range step {
				step[k] /= 2
			}
		}
		if !better {
			return coef, height
		}
	}
	return coef, math.Inf(-1)
}

// withoutCut is a gradient in the coefficients but that of a cut, which is rate times the slope and a constant.
func withoutCut(g []float64, cut, slope int, rate float64) []float64 {
	out := append([]float64(nil), g...)
	out[slope] += rate * g[cut]
	return append(out[:cut], out[cut+1:]...)
}

// reduce does the same to both sides of an information.
func reduce(a *mat.SymDense, cut, slope int, rate float64) *mat.SymDense {
	n := a.SymmetricDim()
	rows := make([][]float64, n)
	for i := range rows {
		row := make([]float64, n)
		for j := range row {
			row[j] = a.At(i, j)
		}
		rows[i] = withoutCut(row, cut, slope, rate)
	}
	out := mat.NewSymDense(n-1, nil)
	column := make([]float64, n)
	for j := range n - 1 {
		for i := range column {
			column[i] = rows[i][j]
		}
		for i, v := range withoutCut(column, cut, slope, rate) {
			if i <= j {
				out.SetSym(i, j, v)
			}
		}
	}
	return out
}
