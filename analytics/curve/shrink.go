package curve

import (
	"math"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/crop"
)

// Partial pooling. A plant's own t50 is uncertain, and the plants of its cultivar say what is usual. Each own t50 is drawn towards
// their mean, the more so the less its own counts tell and the more alike the plants are.

// Shrunken is a plant's t50 drawn towards its cultivar's, in days of the result's clock since the plant's Origin, with its interval at
// Level.
type Shrunken struct {
	At              time.Time
	Days, Low, High float64
	// OwnWeight is what its own t50 weighs; the rest is Mean's.
	OwnWeight float64
	Mean      float64 // of the cultivar's plants
	PlantsSD  float64 // of their true t50, as estimated: days
	Plants    int
}

// crossingError is the standard error of a t50 in days of the clock.
type crossingError struct{ days, se float64 }

// group is plants whose t50 may be compared: of one cultivar and stage, counted from the same kind of day.
type group struct {
	cultivar crop.ID
	stage    string
	from     string
}

// shrink sets Shrunken on the curves of plants that have at least three others like them with a t50 and its error.
func (r *Result) shrink() {
	groups := map[group][]int{}
	for i := range r.Curves {
		if c := &r.Curves[i]; c.Scope == ScopePlant && c.t50.se > 0 {
			k := group{c.CultivarID, c.Stage, c.OriginOf}
			groups[k] = append(groups[k], i)
		}
	}
	for _, members := range groups {
		if len(members) < minPlantsForCultivar {
			continue
		}
		y, v := make([]float64, len(members)), make([]float64, len(members))
		for j, i := range members {
			y[j], v[j] = r.Curves[i].t50.days, r.Curves[i].t50.se*r.Curves[i].t50.se
		}
		for j, s := range shrunken(y, v) {
			c := &r.Curves[members[j]]
			s.At = c.clock.when(c.Origin, s.Days)
			c.Shrunken = &s
		}
	}
}

// shrunken are the empirical Bayes estimates of normal means y with known variances v, which are themselves normal around their mean: the
// spread of the true ones by Paule and Mandel's equation Σ (y−μ)²/(v+τ²) = k−1 (1982, J. Res. Natl. Bur. Stand. 87:377–385), weights and
// intervals after Morris (1983, J. Am. Stat. Assoc. 78:47–55, section 5), which hold that τ² and μ are estimated:
//
//	B_i = (k−3)/(k−1) · v_i/(v_i+τ²),  t_i = (1−B_i)·y_i + B_i·μ,
//	s_i² = v_i·(1 − (1−p_i)·B_i) + 2/(k−3) · B_i² · (v̄+τ²)/(v_i+τ²) · (y_i−μ)²,
//
// p_i being the share of plant i in μ, and v̄ the mean of v weighted as μ is. It needs k ≥ 4.
func shrunken(y, v []float64) []Shrunken {
	k := float64(len(y))
	tau2 := spreadOf(y, v)
	mu, weights := meanOf(y, v, tau2)
	total, vbar := 0.0, 0.0
	for i, w := range weights {
		total += w
		vbar += w * v[i]
	}
	vbar /= total
	z := distuv.UnitNormal.Quantile(0.5 + Level/2)
	out := make([]Shrunken, len(y))
	for i := range y {
		b := (k - 3) / (k - 1) * v[i] / (v[i] + tau2)
		at := (1-b)*y[i] + b*mu
		s2 := v[i]*(1-(1-weights[i]/total)*b) + 2/(k-3)*b*b*(vbar+tau2)/(v[i]+tau2)*(y[i]-mu)*(y[i]-mu)
		half := z * math.Sqrt(s2)
		out[i] = Shrunken{Days: at, Low: at - half, High: at + half, OwnWeight: 1 - b, Mean: mu, PlantsSD: math.Sqrt(tau2), Plants: len(y)}
	}
	return out
}

func meanOf(y, v []float64, tau2 float64) (mu float64, weights []float64) {
	weights = make([]float64, len(y))
	total := 0.0
	for i := range y {
		weights[i] = 1 / (v[i] + tau2)
		total += weights[i]
		mu += weights[i] * y[i]
	}
	return mu / total, weights
}

// spreadOf solves Paule and Mandel's equation for τ²; 0 where the y differ by no more than their errors explain.
func spreadOf(y, v []float64) float64 {
	excess := func(tau2 float64) float64 {
		mu, weights := meanOf(y, v, tau2)
		sum := 0.0
		for i := range y {
			sum += weights[i] * (y[i] - mu) * (y[i] - mu)
		}
		return sum - float64(len(y)-1)
	}
	if excess(0) <= 0 {
		return 0
	}
	lo, hi := 0.0, 1.0
	for excess(hi) > 0 {
		hi *= 2
	}
	for range 60 {
		if mid := (lo + hi) / 2; excess(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
