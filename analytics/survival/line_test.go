package survival

import (
	"errors"
	"math"
	"testing"
)

// looked are sixty times known between weekly looks.
var looked = []Interval{{Left: -inf, Right: 60, Weight: 1}, {Left: 60, Right: 67, Weight: 4}, {Left: 67, Right: 74, Weight: 12}, {Left: 74, Right: 81, Weight: 21},
	{Left: 81, Right: 88, Weight: 14}, {Left: 88, Right: 95, Weight: 6}, {Left: 95, Right: inf, Weight: 2}}

// TestLine: R 4.2.2, survival 3.5-3, survreg(Surv(l, r, type = "interval2") ~ 1, dist = "logistic", "gaussian" and "extreme"), of the
// negative times where mirrored; profile intervals at 90 % with scale 1 (median) and 2 (nine tenths) by optimize and uniroot.
func TestLine(t *testing.T) {
	for name, c := range map[string]struct {
		family                                           Family
		mirrored                                         bool
		mu, sigma, logLik, muSE                          float64
		median, low, high, tenths, tenthsLow, tenthsHigh float64
	}{
		"logistic":         {LogLogistic, false, 78.5021784, 4.84872541, -97.3835208, 1.12239246, 78.5021784, 76.6395817, 80.369846, 89.1559171, 85.7221011, 93.6641646},
		"logistic, turned": {LogLogistic, true, 78.5021784, 4.84872541, -97.3835208, 1.12239246, 78.5021784, 76.6395817, 80.369846, 89.1559171, 85.7221011, 93.6641646},
		"normal":           {LogNormal, false, 78.5665329, 8.52533211, -97.5228063, 1.13318745, 78.5665329, 76.6815739, 80.4550033, 89.4921856, 86.2612581, 93.7684252},
		"smallest":         {Weibull, false, 82.7164833, 8.14230011, -101.375716, 1.15038016, 79.7322251, 77.5390467, 81.7480613, 89.5074258, 87.008474, 92.6744868},
		"largest":          {Weibull, true, 74.4297115, 8.14480331, -100.421449, 1.14966754, 77.4148872, 75.3992455, 79.6108935, 92.7585108, 87.7461848, 99.4594522},
	} {
		t.Run(name, func(t *testing.T) {
			l, err := FitLine(looked, c.family, c.mirrored)
			if err != nil {
				t.Fatal(err)
			}
			z := 1.6448536269514722 // normal, 95 %
			median, _ := l.Quantile(0.5)
			low, high := l.Profile(0.5, 1, z)
			tenths, _ := l.Quantile(0.9)
			tenthsLow, tenthsHigh := l.Profile(0.9, 2, z)
			got := []float64{l.Mu, l.Sigma, l.LogLik, math.Sqrt(l.Covariance[0][0]), median, low, high, tenths, tenthsLow, tenthsHigh, l.Share(median), l.Share(tenths)}
			for i, want := range []float64{c.mu, c.sigma, c.logLik, c.muSE, c.median, c.low, c.high, c.tenths, c.tenthsLow, c.tenthsHigh, 0.5, 0.9} {
				if math.Abs(got[i]-want) > 1e-6*math.Abs(want) {
					t.Errorf("number %d: got %v, want %v", i, got[i], want)
				}
			}
		})
	}
}

// TestLineHasNoOrigin: days counted from elsewhere, or in other units, are the same answer.
func TestLineHasNoOrigin(t *testing.T) {
	near, err := FitLine(looked, LogLogistic, false)
	if err != nil {
		t.Fatal(err)
	}
	var far []Interval
	for _, o := range looked {
		far = append(far, Interval{Left: o.Left*24 - 50000, Right: o.Right*24 - 50000, Weight: o.Weight})
	}
	hours, err := FitLine(far, LogLogistic, false)
	if err != nil {
		t.Fatal(err)
	}
	low, high := near.Profile(0.1, 1.7, 2)
	farLow, farHigh := hours.Profile(0.1, 1.7, 2)
	if math.Abs(farLow-(low*24-50000)) > 1e-4 || math.Abs(farHigh-(high*24-50000)) > 1e-4 || math.Abs(hours.LogLik-near.LogLik) > 1e-9 {
		t.Errorf("got %v to %v, want %v to %v", farLow, farHigh, low*24-50000, high*24-50000)
	}
}

// TestProfileWithoutEnd: where most haven't come, next to nothing says that nine tenths ever do.
func TestProfileWithoutEnd(t *testing.T) {
	few := []Interval{{Left: 0, Right: 5, Weight: 1}, {Left: 5, Right: 10, Weight: 2}, {Left: 10, Right: 15, Weight: 1}, {Left: 15, Right: inf, Weight: 30}}
	l, err := FitLine(few, LogLogistic, false)
	if err != nil {
		t.Fatal(err)
	}
	if low, high := l.Profile(0.9, 1, 8); !math.IsInf(high, 1) || math.IsInf(low, 0) {
		t.Errorf("got %v to %v, want no upper end", low, high)
	}
}

func TestLineRefusals(t *testing.T) {
	for name, data := range map[string][]Interval{
		"none":             nil,
		"one moment":       {{Left: -inf, Right: 5, Weight: 3}, {Left: 5, Right: inf, Weight: 3}},
		"exact":            {{Left: 3, Right: 3, Weight: 1}, {Left: 3, Right: 5, Weight: 1}},
		"all in one":       {{Left: 0, Right: 5, Weight: 0}, {Left: 5, Right: 9, Weight: 40}},
		"nothing is known": {{Left: -inf, Right: inf, Weight: 40}},
	} {
		if l, err := FitLine(data, LogLogistic, false); !errors.As(err, new(*Refusal)) {
			t.Errorf("%s: got %+v, %v; want a refusal", name, l, err)
		}
	}
}
