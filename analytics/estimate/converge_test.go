package estimate

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// formula is a Model made of two closures.
type formula struct {
	names    []string
	value    func(x float64, theta []float64) float64
	gradient func(x float64, theta, grad []float64)
}

func (m formula) Names() []string                          { return m.names }
func (m formula) Value(x float64, theta []float64) float64 { return m.value(x, theta) }
func (m formula) Gradient(x float64, theta, grad []float64) float64 {
	m.gradient(x, theta, grad)
	return m.value(x, theta)
}

func curveData(c Model, theta, xs []float64) Data {
	d := Data{X: xs}
	for i, x := range xs {
		// A fixed wobble instead of noise.
		d.Y = append(d.Y, c.Value(x, theta)+0.3*math.Sin(7*float64(i)))
	}
	return d
}

func upTo(n int) []float64 {
	xs := make([]float64, n)
	for i := range xs {
		xs[i] = float64(i)
	}
	return xs
}

func TestRefusals(t *testing.T) {
	good := curveData(Logistic{}, []float64{60, 15, 3}, upTo(30))
	cases := []struct {
		name  string
		curve Curve
		data  Data
		check string
	}{
		{"all the same", Logistic{}, Data{X: upTo(8), Y: []float64{4, 4, 4, 4, 4, 4, 4, 4}}, CheckStructure},
		{"all zero", Logistic{}, Data{X: upTo(8), Y: make([]float64, 8)}, CheckStructure},
		{"no trend", Line{}, Data{X: upTo(8), Y: []float64{4, 5, 3, 5, 4, 4, 5, 3}}, CheckStructure},
		{"still on the foot of the curve", GompertzRate{}, Data{X: upTo(8), Y: []float64{1, 1.6, 2.7, 4.5, 7.3, 12.2, 20, 33}}, CheckLimit + "a"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			f, err := FitCurve(c.curve, c.data)
			var none *NoFit
			if !errors.As(err, &none) {
				t.Fatalf("got %+v, %v; want NoFit", f, err)
			}
			if none.Name != c.check {
				t.Errorf("got check %q (%v), want %q", none.Name, none, c.check)
			}
			if none.Kept() || !allFinite(none.Measured, none.Tolerance) {
				t.Errorf("got %+v, want finite numbers that break the rule", none)
			}
			if !strings.Contains(none.Error(), none.Name) {
				t.Errorf("message %q does not name the check", none)
			}
		})
	}
	if _, err := FitCurve(Logistic{}, good); err != nil {
		t.Errorf("the good data: %v", err)
	}
}

// A step can be fitted by any steepness: the scale runs to 0, and no curve must come out.
func TestAStepIsNoCurve(t *testing.T) {
	step := Data{X: upTo(10), Y: []float64{0, 0, 0, 0, 0, 12, 12, 12, 12, 12}}
	for _, c := range []Curve{Logistic{}, GompertzRate{}, FourParameter{}} {
		f, err := FitCurve(c, step)
		var none *NoFit
		if !errors.As(err, &none) {
			t.Errorf("%s: got %+v, %v; want NoFit", c.Family(), f, err)
		}
	}
}

func TestTooFewSaysWhatItNeeds(t *testing.T) {
	cases := []struct {
		name  string
		curve Curve
		data  Data
		want  TooFew
	}{
		{"no points", Logistic{}, Data{}, TooFew{"points", 6, 0}},
		{"five points", Logistic{}, Data{X: upTo(5), Y: upTo(5)}, TooFew{"points", 6, 5}},
		{"six points of four parameters", FourParameter{}, Data{X: upTo(6), Y: upTo(6)}, TooFew{"points", 7, 6}},
		{"two dates", Logistic{}, Data{X: []float64{1, 1, 1, 2, 2, 2}, Y: upTo(6)}, TooFew{"different values of x", 3, 2}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := FitCurve(c.curve, c.data)
			var few *TooFew
			if !errors.As(err, &few) || *few != c.want {
				t.Errorf("got %v, want %v", err, &c.want)
			}
		})
	}
	if _, err := LeastSquares(Line{}, Data{X: upTo(2), Y: upTo(2)}, []float64{0, 1}); !errors.As(err, new(*TooFew)) {
		t.Errorf("a line through two points: got %v, want TooFew", err)
	}
}

func TestInvalidNamesTheRow(t *testing.T) {
	ok := Data{X: upTo(8), Y: upTo(8)}
	with := func(change func(*Data)) Data {
		d := Data{X: upTo(8), Y: upTo(8), Weight: []float64{1, 1, 1, 1, 1, 1, 1, 1}}
		change(&d)
		return d
	}
	cases := []struct {
		name, what string
		row        int
		data       Data
		curve      Curve
	}{
		{"NaN in x", "x", 3, with(func(d *Data) { d.X[3] = math.NaN() }), Logistic{}},
		{"infinite y", "y", 2, with(func(d *Data) { d.Y[2] = math.Inf(-1) }), Logistic{}},
		{"weight of 0", "weight", 7, with(func(d *Data) { d.Weight[7] = 0 }), Logistic{}},
		{"negative weight", "weight", 0, with(func(d *Data) { d.Weight[0] = -1 }), GompertzRate{}},
		{"short y", "y", -1, with(func(d *Data) { d.Y = d.Y[:7] }), Logistic{}},
		{"long weights", "weight", -1, with(func(d *Data) { d.Weight = append(d.Weight, 1) }), Gompertz{}},
		{"Weibull before 0", "x", 0, with(func(d *Data) { d.X[0] = -1 }), Weibull{}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := FitCurve(c.curve, c.data)
			var bad *Invalid
			if !errors.As(err, &bad) || bad.What != c.what || bad.Row != c.row {
				t.Errorf("got %v, want Invalid about %s of row %d", err, c.what, c.row)
			}
		})
	}
	starts := map[string][][]float64{
		"none": nil, "one": {{1, 2}}, "the same twice": {{1, 2}, {1, 2}}, "wrong length": {{1}, {2}}, "NaN": {{1, math.NaN()}, {1, 2}},
	}
	for name, s := range starts {
		if _, err := Search(Line{}, ok, s); !errors.As(err, new(*Invalid)) {
			t.Errorf("starts %s: got %v, want Invalid", name, err)
		}
	}
	f, err := FitCurve(Line{}, with(func(d *Data) { d.Y[3] = 4 }))
	if err != nil {
		t.Fatal(err)
	}
	for _, level := range []float64{0, 1, -1, 95, math.NaN()} {
		if _, err := f.Wald(level); !errors.As(err, new(*Invalid)) {
			t.Errorf("level %v: got %v, want Invalid", level, err)
		}
	}
	if _, err := f.AtShare(0.5, 0.9); !errors.As(err, new(*Invalid)) {
		t.Errorf("share of a line: got %v, want Invalid", err)
	}
	if _, err := f.Predict([]float64{1, math.NaN()}, 0.9); !errors.As(err, new(*Invalid)) {
		t.Errorf("prediction at NaN: got %v, want Invalid", err)
	}
}

// Two parameters that do the same cannot be told apart: JᵀWJ is singular.
func TestParametersThatDoTheSameAreRefused(t *testing.T) {
	m := formula{[]string{"a", "b", "c"},
		func(x float64, th []float64) float64 { return th[0] + (th[1]+th[2])*x },
		func(x float64, _, grad []float64) { grad[0], grad[1], grad[2] = 1, x, x }}
	_, err := Search(m, curveData(Line{}, []float64{1, 2}, upTo(12)), [][]float64{{0, 1, 1}, {1, 1, 0}, {2, 0, 1}})
	var none *NoFit
	if !errors.As(err, &none) || none.Name != CheckCondition {
		t.Errorf("got %v, want the condition check", err)
	}
}

// y = (θ² − 1)²-like problems have a maximum between two minima: with y = f = θ² the sum of squares is stationary at θ = 0.
func TestAStationaryPointThatIsNoMinimumIsRefused(t *testing.T) {
	// f = θ₁ + θ₂²·x, points on a rising line: at θ₂ = 0 the gradient of θ₂ vanishes and JᵀWJ is singular; a little away
	// from it the search finds ±√slope.
	m := formula{[]string{"base", "root"},
		func(x float64, th []float64) float64 { return th[0] + th[1]*th[1]*x },
		func(x float64, th, grad []float64) { grad[0], grad[1] = 1, 2*th[1]*x }}
	d := curveData(Line{}, []float64{1, 4}, upTo(12))
	if _, err := Search(m, d, [][]float64{{0, 0}, {1, 0}, {2, 0}}); !errors.As(err, new(*NoFit)) {
		t.Errorf("from the ridge: got %v, want NoFit", err)
	}
	f, err := Search(m, d, [][]float64{{0, 1}, {1, 0.5}, {2, 3}})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Theta[1]-2) > 0.1 {
		t.Errorf("got root %v, want about 2", f.Theta[1])
	}
	// The curvature check itself, at a saddle: cos has its largest sum of squares against −cos data at phase 0.
	wave := formula{[]string{"phase", "base"},
		func(x float64, th []float64) float64 { return th[1] + math.Cos(x+th[0]) },
		func(x float64, th, grad []float64) { grad[0], grad[1] = -math.Sin(x+th[0]), 1 }}
	var turned Data
	for i := range 40 {
		x := 2 * math.Pi * float64(i) / 40
		turned.X, turned.Y = append(turned.X, x), append(turned.Y, -math.Cos(x))
	}
	pr := newProblem(wave, turned)
	atTop, err := newSearch(pr).newFit(descent{theta: []float64{0, 0}})
	if err != nil {
		t.Fatal(err)
	}
	if g := atTop.gradientCheck(); !g.Kept() {
		t.Errorf("the gradient at the top is %v, want about 0", g.Measured)
	}
	if c := atTop.curvatureCheck(); c.Kept() {
		t.Errorf("the curvature at the top is %v, want below %v", c.Measured, c.Tolerance)
	}
}

// A curve with many local minima, of which only one start finds the deepest, is not believed.
func TestOneStartAloneIsNotBelieved(t *testing.T) {
	m := formula{[]string{"rate", "height"},
		func(x float64, th []float64) float64 { return th[1] * math.Sin(th[0]*x) },
		func(x float64, th, grad []float64) { grad[0], grad[1] = th[1]*x*math.Cos(th[0]*x), math.Sin(th[0]*x) }}
	d := curveData(m, []float64{2, 5}, upTo(25))
	_, err := Search(m, d, [][]float64{{1.99, 5}, {0.4, 5}, {0.9, 5}, {1.3, 5}})
	var none *NoFit
	if !errors.As(err, &none) || none.Name != CheckAgreement || none.Measured != 1 {
		t.Errorf("got %v, want the agreement check with 1 start", err)
	}
	f, err := Search(m, d, [][]float64{{1.99, 5}, {2.01, 4}, {0.9, 5}, {2.005, 6}})
	if err != nil {
		t.Fatal(err)
	}
	if f.Agreed != 3 || f.Starts != 4 {
		t.Errorf("got %d of %d starts agreeing, want 3 of 4", f.Agreed, f.Starts)
	}
}

// Points exactly on a curve leave no residual but rounding; the fit must still pass its checks and give them back.
func TestExactPointsGiveBackTheirCurve(t *testing.T) {
	cases := []struct {
		curve Curve
		theta []float64
	}{
		{Logistic{}, []float64{60, 15, 3}}, {LogisticRate{}, []float64{60, 0.4, 15}}, {Gompertz{}, []float64{50, 9, 0.85}},
		{GompertzRate{}, []float64{50, 0.2, 12}}, {FourParameter{}, []float64{5, 60, 15, 3}}, {Weibull{}, []float64{60, 55, -5, 2}},
		{Line{}, []float64{3, 2}}, {Logistic{}, []float64{60, 15, -3}},
	}
	for _, c := range cases {
		d := Data{X: upTo(30)}
		for _, x := range d.X {
			d.Y = append(d.Y, c.curve.Value(x, c.theta))
		}
		f, err := FitCurve(c.curve, d)
		if err != nil {
			t.Errorf("%s %v: %v", c.curve.Family(), c.theta, err)
			continue
		}
		for j, want := range c.theta {
			if math.Abs(f.Theta[j]-want) > 1e-9*math.Abs(want) {
				t.Errorf("%s: %s is %v, want %v", c.curve.Family(), f.Names[j], f.Theta[j], want)
			}
		}
	}
}

// The rate form is the form for dates far from 0; the other one says why it can't.
func TestGompertzFarFromTheOrigin(t *testing.T) {
	d := curveData(GompertzRate{}, []float64{50, 0.2, 12}, upTo(30))
	far := Data{Y: d.Y}
	for _, x := range d.X {
		far.X = append(far.X, x+20000) // days since 1970
	}
	near, err := FitCurve(GompertzRate{}, d)
	if err != nil {
		t.Fatal(err)
	}
	f, err := FitCurve(GompertzRate{}, far)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Theta[2]-20000-near.Theta[2]) > 1e-6*f.SE[2] {
		t.Errorf("got t0 %v, want %v later than 20000", f.Theta[2], near.Theta[2])
	}
	var none *NoFit
	if _, err := FitCurve(Gompertz{}, far); !errors.As(err, &none) || none.Name != CheckFinite {
		t.Errorf("got %v, want the check of finite ends", err)
	}
}

// By hand: with z = RSS/TSS, I_z(a, 1) = zᵃ, so a logistic through six points (df 3, two more than the mean) has p = z^1.5;
// and a line through 10 points with R² = 0.4 has F = 0.4/(0.6/8) = 5.333 on 1 and 8, p = 0.0497 (table of F: 5.32 at 5 %).
func TestStructureIsAnFTest(t *testing.T) {
	d := Data{X: upTo(6), Y: []float64{0, 1, 6, 14, 18, 20.5}}
	f, err := FitCurve(Logistic{}, d)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := f.structureCheck().Measured, math.Pow(f.RSS/d.TotalSquares(), 1.5); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("got p %v, want %v", got, want)
	}
	line := &Fit{Theta: []float64{0, 1}, DF: 8, problem: newProblem(Line{}, Data{X: upTo(10), Y: upTo(10)})}
	line.RSS = 0.6 * line.problem.data.TotalSquares()
	if got := line.structureCheck().Measured; math.Abs(got-0.0497) > 0.0001 {
		t.Errorf("got p %v, want 0.0497", got)
	}
}
