package estimate

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// stepper solves the damped, column-scaled linear least-squares problem of one step.
//
// The Jacobian is factorised once a point, with the residuals as one more column: [J·D⁻¹ r] = Q·R holds Qᵀr in the last
// column of R. Every damping then needs only the small system of R over √λ·I, which has the same solution as the
// augmented system of J.
type stepper struct {
	n, p  int
	wide  *mat.Dense // [J·D⁻¹ r], n×(p+1); needs n > p
	small *mat.Dense // R over √λ·I, 2p×p
	upper *mat.Dense // R, p×p
	qtr   []float64  // Qᵀr, first p entries
	rhs   *mat.VecDense
	qr    mat.QR
	r     mat.Dense
	delta mat.VecDense
	out   []float64
}

func newStepper(n, p int) *stepper {
	return &stepper{n: n, p: p, wide: mat.NewDense(n, p+1, nil), small: mat.NewDense(2*p, p, nil), upper: mat.NewDense(p, p, nil),
		qtr: make([]float64, p), rhs: mat.NewVecDense(2*p, nil), out: make([]float64, p)}
}

// factorise takes over the Jacobian and the residuals of a point. A scale of 0 is set to 1: its column is all zeros.
func (s *stepper) factorise(jac *mat.Dense, scale, r []float64) {
	for j, v := range scale {
		if v == 0 {
			scale[j] = 1
		}
	}
	for i := range s.n {
		from, to := jac.RawRowView(i), s.wide.RawRowView(i)
		for j, v := range from {
			to[j] = v / scale[j]
		}
		to[s.p] = r[i]
	}
	s.qr.Factorize(s.wide)
	s.r.Reset()
	s.qr.RTo(&s.r)
	for i := range s.p {
		row := s.r.RawRowView(i)
		copy(s.upper.RawRowView(i), row[:s.p])
		s.qtr[i] = row[s.p]
	}
}

// solve returns the scaled step D·δ for a damping, and the fall of the sum of squares that the linear model predicts:
// 2·δᵀJᵀr − |Jδ|². With damping 0 that is |Jδ|², the squared length of the residuals inside the tangent plane. The slice
// is overwritten by the next call; it holds NaN if the system has no solution.
func (s *stepper) solve(damping float64) (delta []float64, fall float64) {
	s.small.Zero()
	for i := range s.p {
		copy(s.small.RawRowView(i), s.upper.RawRowView(i))
		s.small.Set(s.p+i, i, math.Sqrt(damping))
		s.rhs.SetVec(i, s.qtr[i])
		s.rhs.SetVec(s.p+i, 0)
	}
	s.qr.Factorize(s.small)
	s.delta.Reset()
	if err := s.qr.SolveVecTo(&s.delta, false, s.rhs); err != nil {
		for j := range s.out {
			s.out[j] = math.NaN()
		}
		return s.out, 0
	}
	for j := range s.out {
		s.out[j] = s.delta.AtVec(j)
	}
	for i := range s.p {
		along := dot(s.upper.RawRowView(i)[i:], s.out[i:])
		fall += along * (2*s.qtr[i] - along)
	}
	return s.out, fall
}
