package estimate

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// sigmoidData draws points about a logistic curve: increasing, with noise of a few per cent.
func sigmoidData(t *rapid.T) Data {
	n := rapid.IntRange(9, 16).Draw(t, "n")
	seed := rapid.Uint64().Draw(t, "seed")
	r := rand.New(rand.NewPCG(seed, 1))
	theta := []float64{20 + 80*r.Float64(), 20 + 20*r.Float64(), 3 + 5*r.Float64()}
	var d Data
	for i := range n {
		x := 60 * (float64(i) + 0.5*r.Float64()) / float64(n)
		d.X = append(d.X, x)
		d.Y = append(d.Y, Logistic{}.Value(x, theta)+0.02*theta[0]*r.NormFloat64())
		d.Weight = append(d.Weight, float64(1+r.IntN(3)))
	}
	return d
}

var sigmoids = []Curve{Logistic{}, LogisticRate{}, GompertzRate{}, Gompertz{}, FourParameter{}}

// mustAgree fits both data sets and compares estimates and standard errors after the maps.
func mustAgree(t *rapid.T, c Curve, a, b Data, mapTheta func([]float64) []float64, mapSE func(j int, se float64) float64) {
	t.Helper()
	fa, errA := FitCurve(c, a)
	fb, errB := FitCurve(c, b)
	if (errA == nil) != (errB == nil) {
		t.Fatalf("%s: got %v for one and %v for the other", c.Family(), errA, errB)
	}
	if errA != nil {
		return
	}
	want := mapTheta(fa.Theta)
	for j := range want {
		// A millionth of a standard error: what rounding may do after other sums in another order.
		if math.Abs(fb.Theta[j]-want[j]) > 1e-6*fb.SE[j] {
			t.Errorf("%s: %s is %v, want %v (SE %v)", c.Family(), fb.Names[j], fb.Theta[j], want[j], fb.SE[j])
		}
		if se := mapSE(j, fa.SE[j]); math.Abs(fb.SE[j]-se) > 1e-6*se {
			t.Errorf("%s: SE of %s is %v, want %v", c.Family(), fb.Names[j], fb.SE[j], se)
		}
	}
}

func same(theta []float64) []float64   { return theta }
func sameSE(_ int, se float64) float64 { return se }
func scaled(v []float64, f float64) (out []float64) {
	for _, x := range v {
		out = append(out, f*x)
	}
	return out
}

func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := sigmoidData(t)
		order := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order"), 2)).Perm(len(d.X))
		var shuffled Data
		for _, i := range order {
			shuffled.X, shuffled.Y, shuffled.Weight = append(shuffled.X, d.X[i]), append(shuffled.Y, d.Y[i]), append(shuffled.Weight, d.Weight[i])
		}
		for _, c := range sigmoids {
			mustAgree(t, c, d, shuffled, same, sameSE)
		}
	})
}

func TestUnitsOfYDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := sigmoidData(t)
		f := math.Pow(10, rapid.Float64Range(-6, 6).Draw(t, "exponent"))
		mustAgree(t, Logistic{}, d, Data{X: d.X, Y: scaled(d.Y, f), Weight: d.Weight},
			func(th []float64) []float64 { return []float64{f * th[0], th[1], th[2]} },
			func(j int, se float64) float64 {
				if j == 0 {
					return f * se
				}
				return se
			})
	})
}

func TestUnitsAndOriginOfXDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := sigmoidData(t)
		f := math.Pow(10, rapid.Float64Range(-3, 3).Draw(t, "exponent"))
		shift := rapid.Float64Range(-1000, 1000).Draw(t, "shift")
		moved := Data{Y: d.Y, Weight: d.Weight}
		for _, x := range d.X {
			moved.X = append(moved.X, f*(x+shift))
		}
		mustAgree(t, Logistic{}, d, moved,
			func(th []float64) []float64 { return []float64{th[0], f * (th[1] + shift), f * th[2]} },
			func(j int, se float64) float64 {
				if j == 0 {
					return se
				}
				return f * se
			})
		mustAgree(t, GompertzRate{}, d, moved,
			func(th []float64) []float64 { return []float64{th[0], th[1] / f, f * (th[2] + shift)} },
			func(j int, se float64) float64 { return se * []float64{1, 1 / f, f}[j] })
	})
}

// A row given k times is a row of weight k as far as the estimates and JᵀWJ go; n differs, and with it s².
func TestARepeatedRowIsAWeight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := sigmoidData(t)
		var repeated Data
		for i, w := range d.Weight {
			for range int(w) {
				repeated.X, repeated.Y = append(repeated.X, d.X[i]), append(repeated.Y, d.Y[i])
			}
		}
		dfWeighted, dfRepeated := float64(len(d.X)-3), float64(len(repeated.X)-3)
		mustAgree(t, Logistic{}, d, repeated, same, func(_ int, se float64) float64 { return se * math.Sqrt(dfWeighted/dfRepeated) })
	})
}

// Only the ratios of weights matter to estimates and standard errors, and the likelihood moves by n/2·ln f less n/2·ln f.
func TestAllWeightsTimesAFactor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := sigmoidData(t)
		e := Data{X: d.X, Y: d.Y, Weight: scaled(d.Weight, 7)}
		mustAgree(t, Logistic{}, d, e, same, sameSE)
		a, errA := FitCurve(Logistic{}, d)
		b, errB := FitCurve(Logistic{}, e)
		if errA == nil && errB == nil && math.Abs(a.LogLik-b.LogLik) > 1e-9*math.Abs(a.LogLik) {
			t.Errorf("log-likelihood: got %v and %v", a.LogLik, b.LogLik)
		}
	})
}

func TestSameInputSameBitsAndNothingOfTheCallersIsChanged(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := sigmoidData(t)
		before := Data{X: slices.Clone(d.X), Y: slices.Clone(d.Y), Weight: slices.Clone(d.Weight)}
		for _, c := range []Curve{Logistic{}, Gompertz{}} {
			a, errA := FitCurve(c, d)
			b, errB := FitCurve(c, d)
			if !reflect.DeepEqual(errA, errB) {
				t.Fatalf("%s: got %v, then %v", c.Family(), errA, errB)
			}
			if errA == nil && !reflect.DeepEqual(a.Theta, b.Theta) {
				t.Errorf("%s: got %v, then %v", c.Family(), a.Theta, b.Theta)
			}
		}
		if !reflect.DeepEqual(d, before) {
			t.Error("the data were changed")
		}
	})
}

// Whatever comes in, the answer is a fit whose every number is finite, or a typed error with finite numbers.
func TestAnythingGivesFiniteNumbersOrATypedError(t *testing.T) {
	curves := append(slices.Clone(sigmoids), Weibull{}, Line{})
	value := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-100, 100), rapid.Map(rapid.IntRange(0, 6), func(i int) float64 { return float64(i) }),
		rapid.SampledFrom([]float64{0, math.NaN(), math.Inf(1), 1e300, -1e140, 5e-324, 1e139}))
	plain := rapid.OneOf(rapid.Float64Range(-50, 100), rapid.Map(rapid.IntRange(0, 6), func(i int) float64 { return float64(i) }))
	rapid.Check(t, func(t *rapid.T) {
		from := plain
		if rapid.IntRange(0, 3).Draw(t, "wild") == 0 {
			from = value
		}
		n := rapid.IntRange(0, 14).Draw(t, "n")
		d := Data{X: rapid.SliceOfN(from, n, n).Draw(t, "x"), Y: rapid.SliceOfN(from, n, n).Draw(t, "y")}
		if rapid.Bool().Draw(t, "rising") {
			for i := range d.X {
				d.X[i] = float64(i)
			}
			slices.Sort(d.Y)
		}
		if rapid.Bool().Draw(t, "weighted") {
			d.Weight = rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(1e-3, 1e3), from), n, n).Draw(t, "w")
		}
		for _, c := range curves {
			f, err := FitCurve(c, d)
			if err != nil {
				var few *TooFew
				var bad *Invalid
				var none *NoFit
				switch {
				case errors.As(err, &none):
					if !allFinite(none.Measured, none.Tolerance) {
						t.Errorf("%s: %+v", c.Family(), none)
					}
				case !errors.As(err, &few) && !errors.As(err, &bad):
					t.Errorf("%s: untyped error %v", c.Family(), err)
				}
				continue
			}
			numbers := slices.Concat(f.Theta, f.SE, f.Fitted, f.Residuals(), []float64{f.RSS, f.ResidualSD, f.LogLik, f.AIC, f.BIC, *f.AICc, f.Condition})
			for _, row := range append(slices.Clone(f.Covariance), f.Correlation()...) {
				numbers = append(numbers, row...)
			}
			for _, k := range f.Checks {
				numbers = append(numbers, k.Measured, k.Tolerance)
				if !k.Kept() {
					t.Errorf("%s: a fit with a failed check %+v", c.Family(), k)
				}
			}
			if !allFinite(numbers...) {
				t.Errorf("%s: %+v", c.Family(), f)
			}
			for _, share := range []float64{0.1, 0.5, 0.9} {
				if at, err := f.AtShare(share, 0.9); err == nil && !allFinite(at.Value, at.SE, at.Lo, at.Hi) {
					t.Errorf("%s: share %v at %+v", c.Family(), share, at)
				}
			}
		}
	})
}
