package curve

import (
	"math"

	"vinetally/analytics/survival"
)

// eventSpread says by how much more than multinomial the times scatter, and the quantile of an interval.
//
// Of one plant, or of a few that speak for themselves, it is the dispersion φ of the numbers of new fruit, with Student's t of its
// degrees of freedom, whose square is F's quantile. Of a cultivar the plants are the independent units: each family is fitted again
// without each plant (or group of plants, as in jackknife.go), and the profile likelihood of each quantile is scaled by its jackknife
// variance over that of the information (Rotnitzky and Jewell 1990, Biometrika 77:485–497; Chandler and Bate 2007, Biometrika
// 94:167–183), with Student's t on the number of plants less one.
type eventSpread struct {
	phi    float64
	z      float64
	others [][]*survival.Line // of each family, without each plant; nil for φ
}

func (e *events) spread(s Subject) (eventSpread, bool) {
	if s.Scope != ScopeCultivar || e.series.plants < minPlantsForCultivar {
		if e.df < 1 {
			return eventSpread{}, false
		}
		return eventSpread{phi: e.phi, z: quantile(float64(e.df))}, true
	}
	groups := min(e.series.plants, maxGroups)
	sp := eventSpread{z: quantile(float64(groups - 1))}
	for _, f := range e.fits {
		var without []*survival.Line
		for g := range groups {
			l, err := survival.FitLine(intervals(e.all, func(plant int) bool { return plant%groups == g }), f.of, f.mirrored)
			if err != nil {
				return eventSpread{}, false
			}
			without = append(without, l)
		}
		sp.others = append(sp.others, without)
	}
	return sp, true
}

// scale is what the variance of a quantity of family i has to be multiplied by, its variance by the information being given.
func (sp eventSpread) scale(i int, variance float64, of func(l *survival.Line) float64) float64 {
	if sp.others == nil {
		return sp.phi
	}
	n := float64(len(sp.others[i]))
	values := make([]float64, len(sp.others[i]))
	sum, squares := 0.0, 0.0
	for g, l := range sp.others[i] {
		values[g] = of(l)
		sum += values[g]
	}
	for _, v := range values {
		squares += (v - sum/n) * (v - sum/n)
	}
	// Plants that are exactly alike would leave no width at all.
	return math.Max((n-1)/n*squares/variance, leastScale)
}

// leastScale is a hundredth of the variance of independent fruit.
const leastScale = 0.01

// crossing is the day by which a share of the fruit has reached the stage, the weighted mean of the families, with its standard error
// and the interval that holds the choice of the family (average.go). known is false where a side has no end.
func (e *events) crossing(share float64, sp *eventSpread) (x, se, low, high float64, known bool) {
	at := make([]float64, len(e.fits))
	for i, f := range e.fits {
		at[i], _ = f.Quantile(share)
		x += f.weight * at[i]
	}
	if sp == nil {
		return x, 0, 0, 0, false
	}
	low, high = x, x
	for i, f := range e.fits {
		_, own := f.Quantile(share)
		scale := sp.scale(i, own*own, func(l *survival.Line) float64 {
			t, _ := l.Quantile(share)
			return t
		})
		from, to := f.Profile(share, scale, sp.z)
		apart := at[i] - x
		low -= f.weight * math.Hypot(at[i]-from, sp.z*apart)
		high += f.weight * math.Hypot(to-at[i], sp.z*apart)
		se += f.weight * math.Hypot(own*math.Sqrt(scale), apart)
	}
	days := e.sooner(at[0])
	return x, se, low - math.Max(0, days), high + math.Max(0, -days), !math.IsInf(low, 0) && !math.IsInf(high, 0)
}

// loose tells whether the interval of t50, of a few plants that speak for themselves, would be wider on a side than the time from t10 to t90.
func (e *events) loose(sp *eventSpread) bool {
	if sp.others != nil {
		return false
	}
	from, _, _, _, _ := e.crossing(0.1, nil)
	to, _, _, _, _ := e.crossing(0.9, nil)
	x, _, low, high, _ := e.crossing(0.5, sp)
	return math.Max(x-low, high-x) > to-from
}

// band is the interval of the best family's share at x, worked out on w, the number of σ that x lies from μ.
func (e *events) band(x float64, sp *eventSpread) (low, high float64) {
	best := e.fits[0]
	w := func(l *survival.Line) float64 { return (x - l.Mu) / l.Sigma }
	c := best.Covariance
	at := w(best.Line)
	variance := (c[0][0]+2*best.Sigma*at*c[0][1])/(best.Sigma*best.Sigma) + at*at*c[1][1]
	half := sp.z * math.Sqrt(variance*sp.scale(0, variance, w)) * best.Sigma
	more := e.excess(x)
	return math.Max(0, best.Share(x-half)+math.Min(0, more)), math.Min(1, best.Share(x+half)+math.Max(0, more))
}
