package estimate

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Published: Student's t, two-sided, printed in any table (from memory); closed forms for 1 and 2 degrees of freedom.
func TestStudentT(t *testing.T) {
	for _, c := range []struct {
		level, df, want, tolerance float64
	}{
		{0.95, 1, 12.706, 5e-4}, {0.95, 4, 2.776, 5e-4}, {0.95, 10, 2.228, 5e-4}, {0.95, 30, 2.042, 5e-4}, {0.90, 10, 1.812, 5e-4},
		{0.99, 5, 4.032, 5e-4}, {0.95, 1e7, 1.959964, 5e-6},
	} {
		if got := studentT(c.level, c.df); math.Abs(got-c.want) > c.tolerance {
			t.Errorf("t(%v, %v) = %v, want %v", c.level, c.df, got, c.want)
		}
	}
	for _, level := range []float64{0.01, 0.5, 0.9, 0.95, 0.999, 0.999999} {
		if got, want := studentT(level, 1), math.Tan(math.Pi*level/2); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("t(%v, 1) = %v, want %v", level, got, want)
		}
		if got, want := studentT(level, 2), level*math.Sqrt(2/(1-level*level)); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("t(%v, 2) = %v, want %v", level, got, want)
		}
	}
}

// By hand: five points of a line. x = 0…4, y = 1, 3, 2, 5, 4: mean 3, slope 8/10 = 0.8, intercept 3 − 0.8·2 = 1.4; residuals
// −0.4, 0.8, −1, 1.2, −0.6, so RSS = 0.16+0.64+1+1.44+0.36 = 3.6 and s² = 3.6/3 = 1.2. SE of the slope √(1.2/10), of the
// mean at x = 2 √(1.2/5), of a further observation there √(1.2 + 1.2/5).
func TestLineByHand(t *testing.T) {
	f, err := LeastSquares(Line{}, Data{X: []float64{3, 0, 1, 4, 2}, Y: []float64{5, 1, 3, 4, 2}}, []float64{0, 0})
	if err != nil {
		t.Fatal(err)
	}
	p, err := f.Predict([]float64{2}, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	tq := studentT(0.9, 3)
	ll := -2.5 * (math.Log(2*math.Pi) + 1 + math.Log(3.6/5))
	for name, c := range map[string][2]float64{
		"a": {f.Theta[0], 1.4}, "b": {f.Theta[1], 0.8}, "RSS": {f.RSS, 3.6}, "s": {f.ResidualSD, math.Sqrt(1.2)},
		"SE of b": {f.SE[1], math.Sqrt(0.12)}, "SE of a": {f.SE[0], math.Sqrt(1.2 * (1./5 + 4./10))},
		"covariance": {f.Covariance[0][1], -1.2 * 2 / 10}, "mean": {p[0].Mean.Value, 3}, "SE of the mean": {p[0].Mean.SE, math.Sqrt(0.24)},
		"upper bound of the mean": {p[0].Mean.Hi, 3 + tq*math.Sqrt(0.24)}, "lower bound of an observation": {p[0].Obs.Lo, 3 - tq*math.Sqrt(1.44)},
		"fitted": {f.Fitted[0], 3.8}, "residual": {f.Residuals()[0], 1.2}, "log-likelihood": {f.LogLik, ll},
		"AIC": {f.AIC, -2*ll + 6}, "BIC": {f.BIC, -2*ll + 3*math.Log(5)}, "AICc": {*f.AICc, -2*ll + 6 + 24},
		"Jacobian": {f.Jacobian().At(0, 1), 3}, "weight": {f.Weights()[4], 1},
	} {
		if math.Abs(c[0]-c[1]) > 1e-12 {
			t.Errorf("%s: got %v, want %v", name, c[0], c[1])
		}
	}
	if f.N != 5 || f.DF != 3 {
		t.Errorf("got n %d, df %d; want 5, 3", f.N, f.DF)
	}
	if v, se, ok := f.Parameter("b"); v != f.Theta[1] || se != f.SE[1] || !ok {
		t.Errorf("parameter b: got %v, %v, %v", v, se, ok)
	}
	if _, _, ok := f.Parameter("c"); ok {
		t.Error("parameter c: got one, want none")
	}
}

// AICc needs n > k+1: four points of a line have k = 3, so none.
func TestAICcIsNotAvailableForFourPointsOfALine(t *testing.T) {
	f, err := LeastSquares(Line{}, Data{X: upTo(4), Y: []float64{0, 1, 3, 2}}, []float64{0, 1})
	if err != nil {
		t.Fatal(err)
	}
	if f.AICc != nil {
		t.Errorf("got AICc %v, want none", *f.AICc)
	}
}

// Recovery: with independent errors, which these intervals are for, they must cover as stated. 1000 simulated trials put
// the share covered within about ±2 % (two standard errors) of 90 %; curvature of the model adds a little.
func TestIntervalsCoverAsStatedWhenErrorsAreIndependent(t *testing.T) {
	truth := []float64{60, 30, 5}
	const trials = 1000
	r := rand.New(rand.NewPCG(20240118, 1))
	covered := map[string]int{}
	for range trials {
		var d Data
		for i := range 20 {
			x := 3 * float64(i)
			d.X, d.Y = append(d.X, x), append(d.Y, Logistic{}.Value(x, truth)+1.5*r.NormFloat64())
		}
		f, err := FitCurve(Logistic{}, d)
		if err != nil {
			t.Fatal(err)
		}
		wald, err := f.Wald(0.9)
		if err != nil {
			t.Fatal(err)
		}
		for j, w := range wald {
			if w.Lo <= truth[j] && truth[j] <= w.Hi {
				covered[f.Names[j]]++
			}
		}
		for name, share := range map[string]float64{"t10": 0.1, "t90": 0.9} {
			at, err := f.AtShare(share, 0.9)
			if err != nil {
				t.Fatal(err)
			}
			if want, _ := (Logistic{}).Inverse(share, truth, nil); at.Lo <= want && want <= at.Hi {
				covered[name]++
			}
		}
		p, err := f.Predict([]float64{40}, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		if y := (Logistic{}).Value(40, truth) + 1.5*r.NormFloat64(); p[0].Obs.Lo <= y && y <= p[0].Obs.Hi {
			covered["observation"]++
		}
	}
	for _, name := range []string{"Asym", "xmid", "scal", "t10", "t90", "observation"} {
		share := float64(covered[name]) / trials
		t.Logf("%s: %.1f %% of the 90 %% intervals cover", name, 100*share)
		if math.Abs(share-0.9) > 0.025 {
			t.Errorf("%s: %.1f %% of the 90 %% intervals cover", name, 100*share)
		}
	}
}
