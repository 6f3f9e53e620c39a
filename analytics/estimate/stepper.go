package estimate

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// stepper solves the damped, column-scaled linear least-squares problem of one step.
//
// The Jacobian is factorised once a point, with the residuals as one more column: [J·D⁻¹ r] = Q·R holds Qᵀr in the last
// column of R. Every damping then needs only the small system of R over √λ·I, which has the same solution as the
// augmented system of J.
//
// The reflections are done here and not by LAPACK: a search makes thousands of factorisations of some tens of rows and three to
// six columns, for which LAPACK's safeguards against overflow take several times as long as the work. Here the columns are scaled
// to a length of at most 1 and the data is bounded, so that nothing overflows.
type stepper struct {
	p     int
	wide  [][]float64 // the columns of [J·D⁻¹ r], then R on and above the diagonal
	small [][]float64 // the columns of [R Qᵀr] over [√λ·I 0]
	idle  []bool      // the columns of zeros
	out   []float64
}

func newStepper(n, p int, room *room) stepper {
	s := stepper{p: p, idle: make([]bool, p), out: room.take(p)}
	columns := make([][]float64, 2*(p+1))
	s.wide, s.small = columns[:p+1], columns[p+1:]
	for j := range p + 1 {
		s.wide[j], s.small[j] = room.take(n), room.take(2*p)
	}
	return s
}

// triangulate applies Householder reflections to the columns of a until all but the last are upper triangular (Golub and Van Loan
// 2013, Matrix Computations, 4th edition, section 5.2). What is left below the diagonal has no meaning. A column of zeros stays.
func triangulate(a [][]float64) {
	for k := range len(a) - 1 {
		v := a[k][k:]
		diagonal := math.Sqrt(floats.Dot(v, v))
		if diagonal == 0 {
			continue
		}
		if v[0] > 0 {
			diagonal = -diagonal // so that the difference doesn't cancel
		}
		v[0] -= diagonal
		half := -diagonal * v[0] // |v|²/2; the reflection is I − v·vᵀ/half
		for _, other := range a[k+1:] {
			floats.AddScaled(other[k:], -floats.Dot(v, other[k:])/half, v)
		}
		v[0] = diagonal
	}
}

// factorise takes over the Jacobian and the residuals of a point. A scale of 0 is set to 1: its column is all zeros.
func (s *stepper) factorise(at *point, scale []float64) {
	for j := range scale {
		s.idle[j] = at.norms[j] == 0
		if scale[j] == 0 {
			scale[j] = 1
		}
		column, inverse := s.wide[j], 1/scale[j]
		for i := range column {
			column[i] = at.jac[i*s.p+j] * inverse
		}
	}
	copy(s.wide[s.p], at.r)
	triangulate(s.wide)
}

// qtr is Qᵀr, of which the first p entries are those inside the tangent plane.
func (s *stepper) qtr() []float64 { return s.wide[s.p][:s.p] }

// upper is R without its last column, row after row.
func (s *stepper) upper() []float64 {
	r := make([]float64, s.p*s.p)
	for j, column := range s.wide[:s.p] {
		for i, v := range column[:j+1] {
			r[i*s.p+j] = v
		}
	}
	return r
}

// solve returns the scaled step D·δ for a damping, and the fall of the sum of squares that the linear model predicts:
// 2·δᵀJᵀr − |Jδ|². With damping 0 that is |Jδ|², the squared length of the residuals inside the tangent plane. The slice
// is overwritten by the next call; it holds numbers that aren't finite if the system has no solution.
func (s *stepper) solve(damping float64) (delta []float64, fall float64) {
	system := s.wide
	if damping > 0 {
		system = s.small
		root := math.Sqrt(damping)
		for j, column := range system {
			clear(column)
			copy(column, s.wide[j][:min(j+1, s.p)])
			if j < s.p {
				column[s.p+j] = root
			}
		}
		triangulate(system)
	}
	for i := s.p - 1; i >= 0; i-- {
		rest := system[s.p][i]
		for j := i + 1; j < s.p; j++ {
			rest -= system[j][i] * s.out[j]
		}
		s.out[i] = rest / system[i][i]
		if damping > 0 && s.idle[i] {
			s.out[i] = 0 // a parameter that moves nothing stays, where rounding would carry it off a saddle by chance
		}
	}
	for i, q := range s.qtr() {
		var along float64
		for j := i; j < s.p; j++ {
			along += s.wide[j][i] * s.out[j]
		}
		fall += along * (2*q - along)
	}
	return s.out, fall
}
