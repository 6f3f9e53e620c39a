package countdist_test

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/countdist"
)

func near(t *testing.T, what string, got, want, rel, abs float64) {
	t.Helper()
	if !(math.Abs(got-want) <= max(rel*math.Abs(want), abs)) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

// proper checks what holds for every distribution.
func proper(t *testing.T, d countdist.Distribution) {
	t.Helper()
	sum := 0.0
	for _, p := range d.P {
		if !(p >= 0 && p <= 1) {
			t.Fatalf("a probability is %v", p)
		}
		sum += p
	}
	near(t, "sum", sum, 1, 1e-12, 0)
	if d.Offset < 0 {
		t.Errorf("starts at %d", d.Offset)
	}
}

// Against gonum's logarithms of the gamma function; R's dpois(120, 150) and the like are in the reference files.
func TestAgainstClosedForms(t *testing.T) {
	for _, mean := range []float64{1e-9, 0.3, 1, 7.5, 40, 900} {
		d := countdist.Poisson(mean)
		proper(t, d)
		for k := range 1200 {
			near(t, "Poisson", d.Probability(k), distuv.Poisson{Lambda: mean}.Prob(float64(k)), 1e-10, 1e-15)
		}
	}
	for _, c := range []struct {
		n int
		p float64
	}{{1, 0.4}, {12, 0.01}, {30, 0.999}, {400, 0.5}, {1000, 1e-6}, {1000, 1 - 1e-6}} {
		d := countdist.Binomial(c.n, c.p)
		proper(t, d)
		for k := range c.n + 2 {
			near(t, "binomial", d.Probability(k), distuv.Binomial{N: float64(c.n), P: c.p}.Prob(float64(k)), 1e-9, 1e-14)
		}
	}
	for _, c := range []struct{ mean, size float64 }{{5, 1.5}, {0.4, 0.2}, {120, 8}, {30, 5e6}, {2, 1e-3}} {
		d := countdist.Matched(c.mean, c.mean+c.mean*c.mean/c.size)
		proper(t, d)
		for k := range 400 {
			x := float64(k)
			a, _ := math.Lgamma(x + c.size)
			b, _ := math.Lgamma(c.size)
			f, _ := math.Lgamma(x + 1)
			want := math.Exp(a - b - f + c.size*math.Log(c.size/(c.size+c.mean)) + x*math.Log(c.mean/(c.size+c.mean)))
			near(t, "negative binomial", d.Probability(k), want, 1e-7, 1e-14) // the logarithms of size 5e6 lose nine digits
		}
	}
}

// matchable is the variance nearest to the one asked for that whole numbers of that mean can have.
func matchable(mean, variance float64) float64 {
	f := mean - math.Floor(mean)
	return max(variance, f*(1-f))
}

func TestMatchedHasTheMoments(t *testing.T) {
	check := func(mean, variance float64) {
		t.Helper()
		d := countdist.Matched(mean, variance)
		proper(t, d)
		near(t, "mean", d.Mean(), mean, 1e-10, 1e-12)
		near(t, "variance", d.Variance(), matchable(mean, variance), 1e-8, 1e-12)
		if t.Failed() {
			t.Fatalf("with mean %v and variance %v", mean, variance)
		}
	}
	for _, mean := range []float64{1e-6, 0.25, 0.999999, 1, 1.000001, 2.5, 3, 7.3, 64, 1000.5, 99999.9, 1e5} {
		f := mean - math.Floor(mean)
		for _, variance := range []float64{
			-1, 0, 1e-300, 1e-12, f * (1 - f), f*(1-f) + 1e-9, 0.3, mean - 1, mean / 2, mean * (1 - 1e-9), math.Nextafter(mean, 0),
			mean, math.Nextafter(mean, 2*mean), mean * (1 + 1e-9), mean * 1.1, mean * 5,
		} {
			if variance < 1e4*mean { // beyond, the tail is longer than the widest window
				check(mean, variance)
			}
		}
	}
	rng := rand.New(rand.NewPCG(2026, 81))
	for range 3000 {
		mean := math.Exp(rng.Float64()*14 - 6)
		check(mean, mean*math.Exp(rng.Float64()*8-5))
	}
}

// Between two variances there is no jump: the families meet.
func TestMatchedIsContinuous(t *testing.T) {
	for _, mean := range []float64{0.4, 2.5, 3, 17.2} {
		before := countdist.Matched(mean, 0)
		for v := 0.0; v < 2*mean; v += 0.001 * mean {
			d := countdist.Matched(mean, v)
			for k := range 60 {
				if gap := math.Abs(d.AtMost(k) - before.AtMost(k)); gap > 0.02 {
					t.Fatalf("mean %v: from variance %v on the chance of at most %d jumps by %v", mean, v, k, gap)
				}
			}
			before = d
		}
	}
}

func TestMatchedStaysSmall(t *testing.T) {
	if n := len(countdist.Matched(1e5, 1e5).P); n > 10000 {
		t.Errorf("100,000 fruit ± 316 take %d numbers", n)
	}
	for _, c := range [][2]float64{{1e5, 1e9}, {5, 1e30}, {1e7, 1e12}, {1e-300, 1e300}} {
		d := countdist.Matched(c[0], c[1])
		proper(t, d)
		if len(d.P) > 1<<20 {
			t.Errorf("mean %v and variance %v take %d numbers", c[0], c[1], len(d.P))
		}
	}
}

// All 2ⁿ ways that n fruit can turn out.
func TestPoissonBinomialAgainstEveryOutcome(t *testing.T) {
	rng := rand.New(rand.NewPCG(2026, 82))
	for n := range 11 {
		p := make([]float64, n)
		for i := range p {
			p[i] = []float64{0, 1, rng.Float64(), rng.Float64()}[rng.IntN(4)]
		}
		want := make([]float64, n+1)
		for outcome := range uint(1) << n {
			probability := 1.0
			for i, one := range p {
				if outcome>>i&1 == 0 {
					one = 1 - one
				}
				probability *= one
			}
			want[bits.OnesCount(outcome)] += probability
		}
		d := countdist.PoissonBinomial(p)
		proper(t, d)
		for k, w := range want {
			near(t, "probability", d.Probability(k), w, 1e-13, 1e-16)
		}
	}
}

func TestManyFruitAreTheSumOfTheirParts(t *testing.T) {
	var p []float64
	for i := range 3000 {
		p = append(p, []float64{0.1, 0.45, 1, 0}[i%4])
	}
	d := countdist.PoissonBinomial(p)
	proper(t, d)
	sum := countdist.Sum(countdist.Binomial(750, 0.1), countdist.Binomial(750, 0.45), countdist.Exactly(750))
	near(t, "mean", d.Mean(), 750*1.55, 1e-12, 0)
	near(t, "variance", d.Variance(), 750*(0.09+0.2475), 1e-11, 0)
	for k := range 3001 {
		near(t, "probability", d.Probability(k), sum.Probability(k), 1e-10, 1e-15)
	}
}

func TestSums(t *testing.T) {
	var plants []countdist.Distribution
	for range 1000 {
		plants = append(plants, countdist.Poisson(3))
	}
	d, want := countdist.Sum(plants...), countdist.Poisson(3000)
	proper(t, d)
	for k := 2000; k < 4000; k++ {
		near(t, "probability", d.Probability(k), want.Probability(k), 1e-9, 1e-14)
	}
	if len(d.P) > 2*len(want.P) {
		t.Errorf("the window of the sum is %d numbers long, that of the same Poisson %d", len(d.P), len(want.P))
	}
	if none := countdist.Sum(); none.Probability(0) != 1 {
		t.Errorf("the sum of nothing is %v", none)
	}
}

// The mean of a mixture is the mean of the means; its variance that of the means besides the mean of the variances.
func TestMixture(t *testing.T) {
	d := countdist.Mixture([]float64{3, 0, 1}, countdist.Poisson(4), countdist.Exactly(9e6), countdist.Binomial(40, 0.5))
	proper(t, d)
	near(t, "mean", d.Mean(), 0.75*4+0.25*20, 1e-13, 0)
	near(t, "variance", d.Variance(), 0.75*4+0.25*10+0.75*0.25*16*16, 1e-12, 0)
	near(t, "probability", d.Probability(4), 0.75*countdist.Poisson(4).Probability(4)+0.25*countdist.Binomial(40, 0.5).Probability(4), 1e-13, 0)
	if len(d.P) > 100 {
		t.Errorf("what has no weight takes room: %d numbers", len(d.P))
	}
}

// Hand-worked: of two fruit at a half each, none, one and two ripen with 1/4, 1/2 and 1/4.
func TestQuantiles(t *testing.T) {
	d := countdist.PoissonBinomial([]float64{0.5, 0.5, 1})
	for _, c := range []struct {
		p    float64
		want int
	}{{-1, 1}, {0, 1}, {0.2, 1}, {0.25, 1}, {0.2501, 2}, {0.75, 2}, {0.7501, 3}, {1, 3}, {2, 3}} {
		if got := d.Quantile(c.p); got != c.want {
			t.Errorf("quantile %v: got %d, want %d", c.p, got, c.want)
		}
	}
	// 0.1 + 0.2 is above 0.3 in floating point, 0.7 + 0.1 below 0.8: neither may move a quantile.
	if got := (countdist.Distribution{P: []float64{0.7, 0.1, 0.2}}).Quantile(0.8); got != 1 {
		t.Errorf("quantile 0.8: got %d, want 1", got)
	}
	if got := (countdist.Distribution{Offset: 3, P: []float64{0, 1, 0}}); got.Quantile(0) != 4 || got.Quantile(1) != 4 {
		t.Errorf("what has no chance is a quantile: %d and %d", got.Quantile(0), got.Quantile(1))
	}
}

func TestTails(t *testing.T) {
	d := countdist.Poisson(5)
	for n := -2; n < 60; n++ {
		near(t, "tails", d.AtMost(n-1)+d.AtLeast(n), 1, 1e-14, 0)
	}
	// The tails of a Poisson are incomplete gamma functions (Johnson, Kemp and Kotz 2005, Univariate Discrete Distributions, section
	// 4.2; reference from memory).
	near(t, "small upper tail", d.AtLeast(25), distuv.Gamma{Alpha: 25, Beta: 1}.CDF(5), 1e-9, 1e-16)
	near(t, "small lower tail", countdist.Poisson(60).AtMost(15), distuv.Gamma{Alpha: 16, Beta: 1}.Survival(60), 1e-9, 1e-16)
}

func TestFaultsOfTheProgram(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, f := range map[string]func(){
		"mean that is none":     func() { countdist.Matched(nan, 1) },
		"variance that is none": func() { countdist.Matched(1, nan) },
		"infinite variance":     func() { countdist.Matched(1, inf) },
		"infinite mean":         func() { countdist.Poisson(inf) },
		"mean beyond all fruit": func() { countdist.Poisson(1e13) },
		"fewer than no fruit":   func() { countdist.Binomial(-1, 0.5) },
		"chance above 1":        func() { countdist.Binomial(4, 1.1) },
		"chance that is none":   func() { countdist.PoissonBinomial([]float64{0.2, nan}) },
		"no weights":            func() { countdist.Mixture(nil) },
		"weights of nothing":    func() { countdist.Mixture([]float64{0}, countdist.Exactly(1)) },
		"a weight below 0":      func() { countdist.Mixture([]float64{-1, 2}, countdist.Exactly(1), countdist.Exactly(2)) },
		"weights missing":       func() { countdist.Mixture([]float64{1}, countdist.Exactly(1), countdist.Exactly(2)) },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("got no panic")
				}
			}()
			f()
		})
	}
	if d := countdist.PoissonBinomial([]float64{1 + 1e-15, -1e-15}); d.Probability(1) != 1 {
		t.Errorf("chances beyond the edge by rounding: got %v", d)
	}
}

var kept countdist.Distribution

func BenchmarkMatched(b *testing.B) {
	for name, c := range map[string][2]float64{
		"below": {12, 7}, "above": {12, 20}, "thousands": {1e5, 1e5},
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				kept = countdist.Matched(c[0], c[1])
			}
		})
	}
}

func BenchmarkMixtureOfThree(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		kept = countdist.Mixture([]float64{1, 4, 1}, countdist.Matched(9, 6), countdist.Matched(12, 9), countdist.Matched(15, 20))
	}
}

func BenchmarkPoissonBinomial60(b *testing.B) {
	p := make([]float64, 60)
	for i := range p {
		p[i] = float64(i+1) / 61
	}
	b.ReportAllocs()
	for b.Loop() {
		kept = countdist.PoissonBinomial(p)
	}
}

func BenchmarkSumOf1000Plants(b *testing.B) {
	plants := make([]countdist.Distribution, 1000)
	for i := range plants {
		plants[i] = countdist.Matched(float64(i%30), 10)
	}
	b.ReportAllocs()
	for b.Loop() {
		kept = countdist.Sum(plants...)
	}
}

// TestNoLess: at most n are as likely as by the distribution under which that is less likely; one that is no sooner already stays.
func TestNoLess(t *testing.T) {
	a, b := countdist.Distribution{Offset: 1, P: []float64{0.5, 0.2, 0.3}}, countdist.Distribution{Offset: 0, P: []float64{0.1, 0.2, 0.6, 0.1}}
	got := countdist.NoLess(a, b)
	proper(t, got)
	for n := range 6 {
		near(t, "at most", got.AtMost(n), min(a.AtMost(n), b.AtMost(n)), 0, 1e-12)
	}
	later := countdist.Poisson(9)
	same := countdist.NoLess(later, countdist.Poisson(4))
	for n := range 40 {
		near(t, "the later one", same.Probability(n), later.Probability(n), 0, 1e-9)
	}
	if zero := countdist.NoLess(countdist.Exactly(0), countdist.Exactly(3)); zero.Quantile(0.5) != 3 {
		t.Errorf("none after three: %+v", zero)
	}
}

// TestNoMore: of a number and all that it can be a part of, the part passes no number likelier.
func TestNoMore(t *testing.T) {
	a, b := countdist.Distribution{Offset: 1, P: []float64{0.5, 0.2, 0.3}}, countdist.Distribution{Offset: 0, P: []float64{0.1, 0.2, 0.6, 0.1}}
	got := countdist.NoMore(a, b)
	proper(t, got)
	for n := range 6 {
		near(t, "at most", got.AtMost(n), max(a.AtMost(n), b.AtMost(n)), 0, 1e-12)
	}
	fewer := countdist.Poisson(4)
	same := countdist.NoMore(fewer, countdist.Poisson(9))
	for n := range 40 {
		near(t, "the smaller one", same.Probability(n), fewer.Probability(n), 0, 1e-9)
	}
	if one := countdist.NoMore(countdist.Poisson(7), countdist.Exactly(1)); one.Quantile(0.99) != 1 {
		t.Errorf("seven of one: %+v", one)
	}
}

// TestWithin: what lies beyond an end is moved there, and nothing else.
func TestWithin(t *testing.T) {
	d := countdist.Binomial(10, 0.3)
	for _, c := range [][2]int{{0, 10}, {0, 20}, {2, 5}, {3, 3}, {0, 0}, {10, 10}, {12, 15}} {
		w := countdist.Within(d, c[0], c[1])
		proper(t, w)
		for k := range 20 {
			want := d.Probability(k)
			switch {
			case k < c[0] || k > c[1]:
				want = 0
			case c[0] == c[1]:
				want = 1
			case k == c[0]:
				want = d.AtMost(k)
			case k == c[1]:
				want = d.AtLeast(k)
			}
			near(t, "within", w.Probability(k), want, 1e-12, 1e-15)
		}
	}
	if w := countdist.Within(countdist.Exactly(9), 2, 5); w.Probability(5) != 1 {
		t.Errorf("9 within 2 and 5 is %+v", w)
	}
}
