package estimate

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// stepper solves the damped, column-scaled linear least-squares problem of one step.
//
// The Jacobian is factorised once a point, with the residuals as one more column: [J·D⁻¹ r] = Q·R holds Qᵀr in the last
// column of R. Every damping then needs only the small system of R over √λ·I, which has the same solution as the
// augmented system of J. The factorisations work in place, since a search makes thousands of small ones.
type stepper struct {
	n, p  int
	wide  blas64.General // [J·D⁻¹ r], n×(p+1); needs n > p
	small blas64.General // [R Qᵀr] over [√λ·I 0], 2p×(p+1)
	upper *mat.Dense     // R, p×p
	qtr   []float64      // Qᵀr, first p entries
	tau   []float64
	work  []float64
	out   []float64
}

func newStepper(n, p int) *stepper {
	s := &stepper{n: n, p: p, wide: general(n, p+1), small: general(2*p, p+1), upper: mat.NewDense(p, p, nil),
		qtr: make([]float64, p), tau: make([]float64, p+1), work: make([]float64, 1), out: make([]float64, p)}
	need := 0
	for _, a := range []blas64.General{s.wide, s.small} {
		lapack64.Geqrf(a, s.tau[:min(a.Rows, a.Cols)], s.work[:1], -1) // asks for the best size of work
		need = max(need, int(s.work[0]))
	}
	s.work = make([]float64, need)
	return s
}

func general(rows, cols int) blas64.General {
	return blas64.General{Rows: rows, Cols: cols, Stride: cols, Data: make([]float64, rows*cols)}
}

func row(a blas64.General, i int) []float64 { return a.Data[i*a.Stride : i*a.Stride+a.Cols] }

// triangulate puts R of the QR factorisation on and above the diagonal of a.
func (s *stepper) triangulate(a blas64.General) {
	lapack64.Geqrf(a, s.tau[:min(a.Rows, a.Cols)], s.work, len(s.work))
}

// factorise takes over the Jacobian and the residuals of a point. A scale of 0 is set to 1: its column is all zeros.
func (s *stepper) factorise(jac *mat.Dense, scale, r []float64) {
	for j, v := range scale {
		if v == 0 {
			scale[j] = 1
		}
	}
	for i := range s.n {
		from, to := jac.RawRowView(i), row(s.wide, i)
		for j, v := range from {
			to[j] = v / scale[j]
		}
		to[s.p] = r[i]
	}
	s.triangulate(s.wide)
	for i := range s.p {
		from, to := row(s.wide, i), s.upper.RawRowView(i)
		copy(to[i:], from[i:s.p])
		s.qtr[i] = from[s.p]
	}
}

// solve returns the scaled step D·δ for a damping, and the fall of the sum of squares that the linear model predicts:
// 2·δᵀJᵀr − |Jδ|². With damping 0 that is |Jδ|², the squared length of the residuals inside the tangent plane. The slice
// is overwritten by the next call; it holds numbers that aren't finite if the system has no solution.
func (s *stepper) solve(damping float64) (delta []float64, fall float64) {
	clear(s.small.Data)
	for i := range s.p {
		top := row(s.small, i)
		copy(top[i:], s.upper.RawRowView(i)[i:])
		top[s.p] = s.qtr[i]
		row(s.small, s.p+i)[i] = math.Sqrt(damping)
	}
	s.triangulate(s.small)
	for i := range s.p {
		s.out[i] = row(s.small, i)[s.p]
	}
	blas64.Trsv(blas.NoTrans, blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: s.p, Stride: s.small.Stride, Data: s.small.Data},
		blas64.Vector{N: s.p, Inc: 1, Data: s.out})
	for i := range s.p {
		along := dot(s.upper.RawRowView(i)[i:], s.out[i:])
		fall += along * (2*s.qtr[i] - along)
	}
	return s.out, fall
}
