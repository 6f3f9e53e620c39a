package curve

import (
	"math"

	"vinetally/analytics/estimate"
)

const (
	// minPlantsForCultivar is the number of plants from which a pooled curve speaks of the cultivar. Under four, the
	// differences between plants can't be told from a handful of them, and the curve speaks of these plants only.
	minPlantsForCultivar = 4
	// maxGroups is how many times a pooled curve is fitted again at most. With more plants they are left out in groups:
	// the interval is as right, its width known to 29 degrees of freedom, and a thousand plants take no longer than thirty.
	maxGroups = 30
)

// plantSpread is the delete-one-plant jackknife: the curve is fitted again without each plant in turn, and a quantity q has
//
//	SE² = (G−1)/G · Σ_g (q_(−g) − q̄)²,
//
// with Student's t on G−1 degrees of freedom. Fruit of one plant share their plant's earliness, so plants and not fruit
// are the independent units. From 31 plants on, g is a group of every thirtieth plant. Source: Efron and Tibshirani (1993),
// An Introduction to the Bootstrap, ch. 11; with clusters, Cameron and Miller (2015), J. Human Resources 50:317–372; with
// groups, Wolter (2007), Introduction to Variance Estimation, ch. 4.
type plantSpread struct {
	thetas [][]float64 // one a plant left out
	t      float64
}

// plantSpread refits the chosen family without each plant. It fails if one of the fits does.
func (f *fitted) plantSpread() (plantSpread, bool) {
	groups := min(f.series.plants, maxGroups)
	s := plantSpread{t: quantile(float64(groups - 1))}
	for g := range groups {
		fit, err := estimate.LeastSquares(f.sigmoid, f.dataWithout(func(plant int) bool { return plant%groups == g }), f.Theta)
		if err != nil {
			return plantSpread{}, false
		}
		s.thetas = append(s.thetas, fit.Theta)
	}
	return s, true
}

// dataWithout is the points of the rounds with some plants taken out of each, the shares of the others 1 in the mean again;
// rounds in which those plants alone were counted fall away.
func (f *fitted) dataWithout(left func(plant int) bool) estimate.Data {
	kept, shares := 0.0, 0.0
	for g := range f.series.plants {
		if !left(g) {
			kept, shares = kept+1, shares+f.series.share(g)
		}
	}
	var d estimate.Data
	for _, p := range f.points {
		n, x, y, c := 0.0, 0.0, 0.0, 0.0
		for _, i := range p.obs {
			if o := f.series.obs[i]; !left(o.plant) {
				n, x, y, c = n+1, x+o.x, y+o.reached, c+f.series.share(o.plant)*kept/shares
			}
		}
		if n > 0 {
			d.X, d.Y, d.Weight = append(d.X, x/n), append(d.Y, y/c), append(d.Weight, c)
		}
	}
	for _, i := range f.series.imputed {
		if !left(i.plant) {
			d.X, d.Y, d.Weight = append(d.X, i.x), append(d.Y, i.value*shares/kept), append(d.Weight, f.series.share(i.plant)*kept/shares)
		}
	}
	return d
}

func (s plantSpread) quantile() float64 { return s.t }

func (s plantSpread) standardError(_ []float64, of func([]float64) float64) (float64, bool) {
	n := float64(len(s.thetas))
	var sum, squares float64
	values := make([]float64, len(s.thetas))
	for i, theta := range s.thetas {
		values[i] = of(theta)
		sum += values[i]
	}
	for _, v := range values {
		squares += (v - sum/n) * (v - sum/n)
	}
	se := math.Sqrt((n - 1) / n * squares)
	return se, !math.IsNaN(se) && !math.IsInf(se, 0)
}

func (s plantSpread) halfWidth(grad []float64, of func([]float64) float64) (float64, bool) {
	se, ok := s.standardError(grad, of)
	return s.t * se, ok
}
