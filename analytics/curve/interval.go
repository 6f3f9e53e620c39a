package curve

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// spread says how sure a fitted curve is: what turns a gradient with respect to the parameters into a half-width at Level.
type spread interface {
	// halfWidth is the half-width of the interval of a quantity: its gradient ∂q/∂θ, and its value under any θ.
	halfWidth(grad []float64, of func(theta []float64) float64) (float64, bool)
	// standardError is the same before the quantile.
	standardError(grad []float64, of func(theta []float64) float64) (float64, bool)
	// quantile is what a standard error is multiplied by.
	quantile() float64
}

// incrementSpread is the covariance of the least-squares parameters under the errors that a running total has.
//
// Between two counts of plant g the new fruit are taken to have mean c_g·(f(x_k)−f(x_{k−1})) and variance φ times that, and
// the increments to be independent. ever_reached, their sum, then has
//
//	Cov(E_gj, E_gk) = φ·c_g·f(x_min(j,k)),
//
// c_g being the plant's own share of the pooled curve (increments.go). With B = (JᵀWJ)⁻¹JᵀW the parameters have
// covariance V = B·C·Bᵀ, C the covariance of the means of the rounds. φ is Pearson's statistic of the increments over its degrees
// of freedom, at least 1; increments are joined until each is expected to hold one fruit. Intervals use Student's t with
// those degrees of freedom.
//
// This is the usual sandwich for a least-squares estimate with correlated errors (White 1982, Econometrica 50:1–25). It
// covers chance in these plants' fruit and counts, not the differences between plants of a cultivar. It takes every fruit
// for itself. Fruit of one truss ripen together, and what sixty fruit in ten trusses tell of such plants in general is less:
// of their median the 90 % interval holds 69 % in simulation, of the median of the plant's own fruit all (TestTrusses). So
// it speaks of this plant.
type incrementSpread struct {
	cov *mat.Dense
	t   float64
	phi float64
}

func (f *fitted) incrementSpread() (incrementSpread, bool) {
	shares := f.plantShares(f.value)
	phi, df := f.dispersion(shares)
	if df < 1 {
		return incrementSpread{}, false
	}
	k, p := len(f.points)+len(f.series.imputed), len(f.Theta)
	b, ok := f.influence()
	if !ok {
		return incrementSpread{}, false
	}
	c := mat.NewSymDense(k, nil)
	for i := range f.points {
		for j := i; j < len(f.points); j++ {
			c.SetSym(i, j, phi*f.covariance(i, j, shares))
		}
	}
	for i, x := range f.series.imputed {
		c.SetSym(len(f.points)+i, len(f.points)+i, phi*x.variance)
	}
	var bc mat.Dense
	bc.Mul(b, c)
	v := mat.NewDense(p, p, nil)
	v.Mul(&bc, b.T())
	return incrementSpread{cov: v, t: quantile(float64(df)), phi: phi}, true
}

// influence returns B, how the mean of each round moves each parameter, p × k.
func (f *fitted) influence() (*mat.Dense, bool) {
	j := f.Jacobian()
	k, p := j.Dims()
	wj := mat.NewDense(k, p, nil)
	wj.Copy(j)
	for i, w := range f.Weights() {
		row := wj.RawRowView(i)
		for c := range row {
			row[c] *= w
		}
	}
	var normal mat.Dense
	normal.Mul(wj.T(), j)
	var b mat.Dense
	if err := b.Solve(&normal, wj.T()); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			return nil, false
		}
	}
	return &b, true
}

// covariance of the means of two rounds before φ, i not after j: the plants counted on both share their fruit of the
// earlier one.
func (f *fitted) covariance(i, j int, shares []float64) float64 {
	a, b := f.points[i], f.points[j]
	sum, at := 0.0, 0
	for _, oi := range a.obs { // both lists are in the order of plants
		plant := f.series.obs[oi].plant
		for at < len(b.obs) && f.series.obs[b.obs[at]].plant < plant {
			at++
		}
		if at < len(b.obs) && f.series.obs[b.obs[at]].plant == plant {
			sum += shares[plant]
		}
	}
	return sum * f.Fitted[i] / (a.weight * b.weight)
}

func quantile(df float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(0.5 + Level/2)
}

func (s incrementSpread) quantile() float64 { return s.t }

func (s incrementSpread) standardError(grad []float64, _ func([]float64) float64) (float64, bool) {
	g := mat.NewVecDense(len(grad), grad)
	v := mat.Inner(g, s.cov, g)
	if math.IsNaN(v) || v < 0 {
		return 0, false
	}
	return math.Sqrt(v), true
}

func (s incrementSpread) halfWidth(grad []float64, of func([]float64) float64) (float64, bool) {
	se, ok := s.standardError(grad, of)
	return s.t * se, ok
}
