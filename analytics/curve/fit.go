package curve

import (
	"vinetally/analytics/estimate"
)

// families are the sigmoids that are tried, simplest shape first; among equals in AICc the first is taken.
//
// Not tried are Weibull's and the log-logistic curve, which begin at a day 0: the answer would hang on what that is, and on the zone in
// which a day of sowing begins. Nor is Richards' curve, whose fourth parameter is level as much as shape: with it the level of plants that
// weren't counted to the end comes out 4 to 7 % too high (unbalanced_test.go), and it makes one flush of two in a sixth of the clear pairs
// (flushes_test.go). estimate has all of them.
func families() []estimate.Rising {
	return []estimate.Rising{estimate.LogisticRate{}, estimate.GompertzRate{}}
}

// fitted is the chosen curve of a series with what its errors are worked out from.
type fitted struct {
	*estimate.Fit
	sigmoid    estimate.Rising
	series     series
	points     []mean
	candidates []Candidate
	left       smoother
	all        []weighted
}

// fit fits every family to the means of the rounds and keeps the one with the smallest AICc.
func fit(s series) (*fitted, error) {
	points := s.means()
	data := s.dataOf(points)
	var scored []estimate.Scored
	var found []*fitted
	var failure error
	for _, family := range families() {
		f, err := fitFamily(family, data)
		if err != nil {
			if failure == nil {
				failure = err
			}
			continue
		}
		if f.AICc == nil {
			continue
		}
		scored = append(scored, estimate.Scored{Name: family.Family(), AICc: *f.AICc})
		found = append(found, &fitted{Fit: f, sigmoid: family, series: s, points: points})
	}
	if len(found) == 0 {
		return nil, failure
	}
	ranked, best, err := estimate.Rank(scored)
	if err != nil {
		return nil, err
	}
	chosen := found[best]
	for _, r := range ranked {
		chosen.candidates = append(chosen.candidates, Candidate{Family: r.Name, AICc: r.AICc, Weight: r.Weight})
	}
	chosen.all = supported(found, ranked)
	chosen.left = chosen.smooth()
	return chosen, nil
}

// dataOf is the points with what bounded counts come to after them.
func (s series) dataOf(points []mean) estimate.Data {
	d := dataOf(points)
	for _, c := range s.imputed {
		d.X, d.Y, d.Weight = append(d.X, c.x), append(d.Y, c.value), append(d.Weight, s.share(c.plant))
	}
	return d
}

func dataOf(points []mean) estimate.Data {
	d := estimate.Data{X: make([]float64, len(points)), Y: make([]float64, len(points)), Weight: make([]float64, len(points))}
	for i, p := range points {
		d.X[i], d.Y[i], d.Weight[i] = p.x, p.value, p.weight
	}
	return d
}

func (f *fitted) value(x float64) float64 { return f.sigmoid.Value(x, f.Theta) }

// gradient returns ∂f(x)/∂θ.
func (f *fitted) gradient(x float64) []float64 {
	g := make([]float64, len(f.Theta))
	f.sigmoid.Gradient(x, f.Theta, g)
	return g
}

// rate is the slope of the curve, fruit a day.
func (f *fitted) rate(x float64) float64 { return f.sigmoid.Slope(x, f.Theta) }

// fastest is its largest slope.
func (f *fitted) fastest() float64 { return f.rate(f.sigmoid.Steepest(f.Theta)) }

// crossing returns the day at which the curve stands at a share of its level, and its gradient.
func (f *fitted) crossing(share float64) (x float64, grad []float64, ok bool) {
	grad = make([]float64, len(f.Theta))
	x, ok = f.sigmoid.Inverse(share, f.Theta, grad)
	return x, grad, ok
}

// level is the fitted final number of fruit.
func (f *fitted) level() float64 { return f.sigmoid.Asymptote(f.Theta) }

func (f *fitted) first() mean { return f.points[0] }
func (f *fitted) last() mean  { return f.points[len(f.points)-1] }
