package posdef

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Solve is x of a·x = b, for a of p × p and b of p. It tells by false that a isn't positive definite or that, with a unit
// diagonal, its condition number is above worst.
func Solve(a *mat.SymDense, b []float64, worst float64) (x []float64, ok bool) {
	f, ok := factorize(a, worst)
	if !ok {
		return nil, false
	}
	scaled := mat.NewVecDense(len(b), nil)
	for j := range b {
		scaled.SetVec(j, b[j]*f.scale[j])
	}
	var solved mat.VecDense
	if f.chol.SolveVecTo(&solved, scaled) != nil {
		return nil, false
	}
	x = make([]float64, len(b))
	for j := range x {
		x[j] = solved.AtVec(j) * f.scale[j]
	}
	return x, true
}

// Invert is the inverse of a, p × p, refused as in Solve.
func Invert(a *mat.SymDense, worst float64) (inverse [][]float64, ok bool) {
	f, ok := factorize(a, worst)
	if !ok {
		return nil, false
	}
	var inv mat.SymDense
	if f.chol.InverseTo(&inv) != nil {
		return nil, false
	}
	inverse = make([][]float64, len(f.scale))
	for j := range inverse {
		inverse[j] = make([]float64, len(f.scale))
		for k := range inverse[j] {
			inverse[j][k] = inv.At(j, k) * f.scale[j] * f.scale[k]
		}
	}
	return inverse, true
}

type factor struct {
	chol  mat.Cholesky
	scale []float64 // 1/√ of the diagonal
}

func factorize(a *mat.SymDense, worst float64) (*factor, bool) {
	p := a.SymmetricDim()
	f := &factor{scale: make([]float64, p)}
	for j := range p {
		if !(a.At(j, j) > 0) {
			return nil, false
		}
		f.scale[j] = 1 / math.Sqrt(a.At(j, j))
	}
	scaled := mat.NewSymDense(p, nil)
	for j := range p {
		for k := j; k < p; k++ {
			scaled.SetSym(j, k, a.At(j, k)*f.scale[j]*f.scale[k])
		}
	}
	return f, f.chol.Factorize(scaled) && f.chol.Cond() <= worst
}
