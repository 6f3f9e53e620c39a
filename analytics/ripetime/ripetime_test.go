package ripetime_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/countdist"
	"vinetally/analytics/ripetime"
)

func near(t *testing.T, what string, got, want, rel, abs float64) {
	t.Helper()
	if !(math.Abs(got-want) <= max(rel*math.Abs(want), abs)) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

// Of shape 1 the gamma law forgets how long was waited.
func TestConstantRateForgetsTheWait(t *testing.T) {
	for _, waited := range []float64{0, 1e-6, 3, 40, 1e5} {
		for _, ahead := range []float64{0, 0.01, 1, 9, 1e4} {
			near(t, "within", ripetime.Within(distuv.Gamma{Alpha: 1, Beta: 0.3}, waited, ahead), -math.Expm1(-0.3*ahead), 1e-10, 0)
		}
	}
}

// A whole shape is that many steps at a constant rate, so that the fruit has left when a Poisson number reaches it.
func TestWholeShapesAreSteps(t *testing.T) {
	const shape, rate = 9, 1 / 1.6
	still := func(t float64) float64 { return countdist.Poisson(rate * t).AtMost(shape - 1) }
	for _, c := range [][2]float64{{0, 5}, {2, 7}, {12, 1}, {40, 3}} {
		got := ripetime.Within(distuv.Gamma{Alpha: shape, Beta: rate}, c[0], c[1])
		near(t, "within", got, 1-still(c[0]+c[1])/still(c[0]), 1e-7, 0)
	}
}

// Where floating point loses the chances of such waits, the approximation takes over without a jump, and a rising hazard goes on rising.
func TestWaitsThatTheLawRulesOut(t *testing.T) {
	for _, cv := range []float64{0.09, 0.3, 1.4} {
		stay := distuv.Gamma{Alpha: 1 / (cv * cv), Beta: 1 / (cv * cv) / 42}
		before := ripetime.Within(stay, 1, 0.5)
		for waited := 2.0; waited < 1e5; waited *= 1.002 {
			p := ripetime.Within(stay, waited, 0.5)
			if !(p >= 0 && p <= 1) || math.Abs(p-before) > 0.02 || cv < 1 && p < before*(1-1e-3) {
				t.Fatalf("cv %v, waited %v: from %v to %v", cv, waited, before, p)
			}
			before = p
		}
		near(t, "far out the rate is that of the exponential tail", before, -math.Expm1(-stay.Beta/2), 0.01, 0)
	}
}

func day(t *testing.T, shape, scale, after, by float64) ripetime.Between {
	t.Helper()
	b, err := ripetime.TurnedBetween(distuv.Weibull{K: shape, Lambda: scale}, after, by)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Closed forms: the exponential cut at both ends, and the whole law, whose mean is scale·Γ(1 + 1/shape).
func TestMeanDay(t *testing.T) {
	for _, c := range [][2]float64{{0, 10}, {5, 6}, {3, 300}, {1e4, 1e4 + 2}} {
		width := c[1] - c[0]
		want := c[0] + 8 - width/math.Expm1(width/8)
		near(t, "exponential", day(t, 1, 8, c[0], c[1]).Mean(), want, 1e-12, 0)
	}
	for _, shape := range []float64{0.5, 1, 2.5, 6, 40} {
		near(t, "whole law", day(t, shape, 30, 0, 1e7).Mean(), 30*math.Gamma(1+1/shape), 1e-11, 0)
	}
	near(t, "a short time between", day(t, 6, 45, 40, 40.0001).Mean(), 40.00005, 1e-9, 0)
	near(t, "far before the law: t^(shape − 1) alone", day(t, 3, 1e9, 0, 8).Mean(), 6, 1e-12, 0)
	near(t, "and beyond the range of numbers", day(t, 100, 1e9, 0, 8).Mean(), 8*100./101, 1e-12, 0)
	near(t, "far after it: at once", day(t, 6, 2, 4000, 5000).Mean(), 4000, 1e-9, 0)
}

func TestDaysBetweenLooks(t *testing.T) {
	rng := rand.New(rand.NewPCG(2026, 83))
	for range 2000 {
		shape, scale := math.Exp(rng.Float64()*6-1), math.Exp(rng.Float64()*6)
		after := max(0, scale*(rng.Float64()*2-0.3))
		by := after + math.Exp(rng.Float64()*6-3)
		b := day(t, shape, scale, after, by)
		for _, p := range []float64{0, 1e-6, 0.1, 0.5, 0.9, 1} {
			q := b.Quantile(p)
			if !(q >= after && q <= by) {
				t.Fatalf("quantile %v of %v is outside", p, b)
			}
			const digits = 1e-14 // of the day
			if low, high := b.Before(q*(1-digits)), b.Before(q*(1+digits)); !(low <= p+1e-9 && high >= p-1e-9) {
				t.Errorf("by the quantile of %v the chance is %v to %v", p, low, high)
			}
		}
		const n = 4000 // Mean is after + ∫ (1 − Before), by midpoints
		mean := after
		for i := range n {
			mean += (by - after) / n * (1 - b.Before(after+(by-after)*(float64(i)+0.5)/n))
		}
		near(t, "mean", b.Mean(), mean, 0, (by-after)*1e-3)
		if t.Failed() {
			t.Fatalf("of %+v", b)
		}
	}
}

// The rows of a short look-up: certain at the end, nothing at the start.
func TestPastRipe(t *testing.T) {
	b := day(t, 6, 45, 40, 44)
	near(t, "all turned more than 5 days ago", b.PastRipe(49, 5), 1, 0, 0)
	near(t, "none did", b.PastRipe(45, 5), 0, 0, 0)
	if half := b.PastRipe(b.Median()+5, 5); math.Abs(half-0.5) > 1e-12 {
		t.Errorf("half had turned at the median: got %v", half)
	}
}

func TestRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range [][4]float64{{0, 1, 0, 1}, {1, -1, 0, 1}, {nan, 1, 0, 1}, {1, inf, 0, 1}, {1, 1, -1, 1}, {1, 1, 2, 2}, {1, 1, 2, 1}, {1, 1, nan, 1}, {1, 1, 0, inf}, {1, 1, 0, nan}} {
		_, err := ripetime.TurnedBetween(distuv.Weibull{K: c[0], Lambda: c[1]}, c[2], c[3])
		if invalid := (*ripetime.Invalid)(nil); !errors.As(err, &invalid) {
			t.Errorf("%v: got %v", c, err)
		}
	}
	for _, rates := range [][]float64{nil, {0}, {1, -1}, {nan}, {inf}} {
		if _, err := ripetime.NewChain(rates); err == nil {
			t.Errorf("rates %v: got no error", rates)
		}
	}
}

// Closed form of unequal rates (Ross 2014, Introduction to Probability Models, section 5.2.4; reference from memory):
// P(time to the last > t) = Σᵢ exp(−rᵢ·t)·Πⱼ rⱼ/(rⱼ − rᵢ).
func TestUnequalRates(t *testing.T) {
	rates := []float64{0.2, 0.5, 0.4, 1.7}
	c, err := ripetime.NewChain(rates)
	if err != nil {
		t.Fatal(err)
	}
	for _, days := range []float64{0.1, 2, 9, 60} {
		still := 0.0
		for i, r := range rates {
			term := math.Exp(-r * days)
			for j, other := range rates {
				if j != i {
					term *= other / (other - r)
				}
			}
			still += term
		}
		near(t, "last stage", c.Occupancy(days)[4], 1-still, 1e-9, 1e-13)
	}
}

// With equal rates the stage is a Poisson number, and with nearly equal ones almost that.
func TestEqualRates(t *testing.T) {
	for _, apart := range []float64{0, 1e-12} {
		c, err := ripetime.NewChain([]float64{0.3, 0.3 + apart, 0.3 - apart, 0.3, 0.3})
		if err != nil {
			t.Fatal(err)
		}
		for _, days := range []float64{0, 1, 5, 12, 400, 1e5} {
			d, row := countdist.Poisson(0.3*days), c.Occupancy(days)
			for k := range 5 {
				near(t, "stage", row[k], d.Probability(k), 1e-8, 1e-13)
			}
			near(t, "last stage", row[5], d.AtLeast(5), 1e-8, 1e-13)
		}
	}
}

var kept float64

func BenchmarkWithin(b *testing.B) {
	stay := distuv.Gamma{Alpha: 9, Beta: 1 / 1.6}
	for b.Loop() {
		kept = ripetime.Within(stay, 2, 7)
	}
}

func BenchmarkMeanDay(b *testing.B) {
	between, err := ripetime.TurnedBetween(distuv.Weibull{K: 6, Lambda: 45}, 40, 44)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		kept = between.Mean()
	}
}

func BenchmarkOccupancy(b *testing.B) {
	c, err := ripetime.NewChain([]float64{0.2, 0.5, 0.4})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		kept = c.Occupancy(7)[3]
	}
}
