package curve

import (
	"fmt"
	"math"
	"strings"

	"vinetally/analytics/estimate"
)

// leastWeight is the Akaike weight below which a family isn't averaged over.
const leastWeight = 0.05

// leastDisagreement is how many days of the clock the families have to differ in t10, t50 or t90 for a warning to say so.
const leastDisagreement = 2

// weighted is a fitted family with its Akaike weight among those that are averaged over.
type weighted struct {
	sigmoid estimate.Rising
	theta   []float64
	weight  float64
}

// supported are the families of at least the least weight; found are in the order of the families, ranked too.
func supported(found []*fitted, ranked []estimate.Ranked) []weighted {
	var out []weighted
	sum := 0.0
	for _, r := range ranked {
		if r.Weight < leastWeight {
			continue
		}
		for _, f := range found {
			if f.sigmoid.Family() == r.Name {
				out = append(out, weighted{f.sigmoid, f.Theta, r.Weight})
				sum += r.Weight
			}
		}
	}
	for i := range out {
		out[i].weight /= sum
	}
	return out
}

// average is the day at which the families reach a share of their level, weighted by Akaike's weights, and widen turns the half-width of
// an interval given the family into one that holds the choice of the family as well:
//
//	x = Σ w_i·x_i,  half = Σ w_i·√(half_i² + (q·(x_i − x))²)
//
// (Buckland, Burnham and Augustin 1997, Biometrics 53:603–618; Burnham and Anderson 2002, Model Selection and Multimodel Inference,
// 2nd ed., section 4.3.2), q the quantile that made half of a standard error, and half_i taken to be that of the best family.
// The weights come from least squares on a running total, which makes them surer than they are.
func (f *fitted) average(share, best float64) (x float64, widen func(half, q float64) float64) {
	at := make([]float64, len(f.all))
	for i, w := range f.all {
		day, ok := w.sigmoid.Inverse(share, w.theta, nil)
		if !ok {
			return best, func(half, _ float64) float64 { return half }
		}
		at[i] = day
		x += w.weight * day
	}
	if len(f.all) < 2 {
		return best, func(half, _ float64) float64 { return half }
	}
	return x, func(half, q float64) float64 {
		sum := 0.0
		for i, w := range f.all {
			sum += w.weight * math.Hypot(half, q*(at[i]-x))
		}
		return sum
	}
}

// disagreement says by how much the families differ, if they do.
func (f *fitted) disagreement() string {
	families := make([]opinion, len(f.all))
	for i, w := range f.all {
		families[i] = opinion{w.sigmoid.Family(), w.weight, func(share float64) (float64, bool) { return w.sigmoid.Inverse(share, w.theta, nil) }}
	}
	return disagreement(families, f.first().x, f.last().x)
}

// opinion is a family with its weight, and when it says that a share is reached.
type opinion struct {
	family string
	weight float64
	at     func(share float64) (float64, bool)
}

// disagreement looks at what families say of the days that were counted.
func disagreement(families []opinion, first, last float64) string {
	if len(families) < 2 {
		return ""
	}
	widest, where := 0.0, ""
	for _, t := range crossings(&Curve{}) {
		low, high := math.Inf(1), math.Inf(-1)
		for _, o := range families {
			if at, ok := o.at(t.share); ok && at >= first && at <= last {
				low, high = math.Min(low, at), math.Max(high, at)
			}
		}
		if high-low > widest {
			widest, where = high-low, t.name
		}
	}
	if widest < leastDisagreement {
		return ""
	}
	var names []string
	for _, o := range families {
		names = append(names, fmt.Sprintf("%s %.2f", o.family, o.weight))
	}
	return fmt.Sprintf("The counts don't settle the family (weights %s), and the families differ by up to %.1f days, in %s; t10, t50 and t90 are their weighted means, and the intervals hold the difference.",
		strings.Join(names, ", "), widest, where)
}
