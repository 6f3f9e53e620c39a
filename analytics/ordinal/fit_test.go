package ordinal

import (
	"errors"
	"math"
	"testing"
)

var stages = []string{"green", "breaker", "red"}

func TestRefusals(t *testing.T) {
	for name, d := range map[string]Data{
		"one stage only":      {stages, [][]float64{{3, 0, 0}, {4, 0, 0}}, [][]float64{{1}, {2}}},
		"complete separation": {stages, [][]float64{{5, 0, 0}, {0, 5, 0}, {0, 0, 5}}, [][]float64{{1}, {2}, {3}}},
		"covariate constant":  {stages, [][]float64{{5, 1, 2}, {3, 1, 4}}, [][]float64{{7}, {7}}},
		"rows of two lengths": {stages, [][]float64{{5, 1, 2}, {3, 1}}, [][]float64{{7}, {8}}},
		"no rows":             {stages, nil, nil},
		"negative":            {stages, [][]float64{{5, -1, 2}}, [][]float64{{7}}},
	} {
		t.Run(name, func(t *testing.T) {
			for _, fit := range []func(Data, Link) (*Cumulative, error){Proportional, Separate} {
				c, err := fit(d, Logit)
				if r := new(Refusal); !errors.As(err, &r) {
					t.Errorf("got %+v, %v; want a refusal", c, err)
				}
			}
		})
	}
}

// TestSplitRow: a row of fruit counted in two parts is the same evidence.
func TestSplitRow(t *testing.T) {
	whole := Data{stages, [][]float64{{9, 3, 1}, {5, 4, 6}, {1, 2, 8}}, [][]float64{{1}, {4}, {9}}}
	split := Data{stages, [][]float64{{9, 3, 1}, {2, 4, 0}, {1, 2, 8}, {3, 0, 6}}, [][]float64{{1}, {4}, {9}, {4}}}
	for _, link := range []Link{Logit, Probit, CLogLog} {
		a, err := Proportional(whole, link)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Proportional(split, link)
		if err != nil {
			t.Fatal(err)
		}
		for k := range a.Coef {
			if math.Abs(a.Coef[k]-b.Coef[k]) > 1e-10 || math.Abs(a.Observed[k][k]-b.Observed[k][k]) > 1e-10 {
				t.Errorf("link %d: coefficient %d is %v and %v", link, k, a.Coef[k], b.Coef[k])
			}
		}
	}
}

// TestLinksOfExtremeValues: R 4.2.2, MASS::polr with method "loglog" and "cloglog", reltol 1e-15.
func TestLinksOfExtremeValues(t *testing.T) {
	d := Data{stages, [][]float64{{30, 8, 2}, {20, 14, 6}, {9, 15, 16}, {3, 8, 29}}, [][]float64{{1}, {4}, {7}, {10}}}
	for link, want := range map[Link][]float64{
		LogLog:  {1.4940331, 2.5738288, 0.26765925, -142.80831},
		CLogLog: {0.54966685, 1.6068181, 0.25846811, -141.91075},
	} {
		c, err := Proportional(d, link)
		if err != nil {
			t.Fatal(err)
		}
		for k, got := range []float64{c.Coef[0], c.Coef[1], c.Coef[2], c.LogLikKernel} {
			if math.Abs(got-want[k]) > 2e-6*math.Abs(want[k]) {
				t.Errorf("link %d: number %d is %v, want %v", link, k, got, want[k])
			}
		}
		for _, p := range []float64{0.01, 0.5, 0.9} {
			if F, _, _, _ := link.at(link.Inverse(p)); math.Abs(F-p) > 1e-12 {
				t.Errorf("link %d: F of the inverse of %v is %v", link, p, F)
			}
		}
	}
}

// TestRareStagesKeepTheirDigits: 1/(1 + e^24.5462166594...) in 40 digits by Python's decimal, and the mirror image.
func TestRareStagesKeepTheirDigits(t *testing.T) {
	const want = 2.1863204859123269e-11
	c := &Cumulative{Cuts: []string{"a|b"}, Coef: []float64{27.1909362982638 - 0.0455986252195973*58, 0}, Observed: [][]float64{{0, 0}, {0, 0}}}
	last, _ := c.Probabilities([]float64{0})
	c.Coef[0] = -c.Coef[0]
	first, _ := c.Probabilities([]float64{0})
	if math.Abs(last[1]-want) > 1e-14*want || last[1] != first[0] {
		t.Errorf("got %v and %v, want %v", last[1], first[0], want)
	}
}

// TestSpread: a spread that doesn't change is another unit of the cuts and slopes; halving it in some rows is a model of its own, and still
// one whose shares and errors don't depend on the unit.
func TestSpread(t *testing.T) {
	d := Data{stages, [][]float64{{9, 3, 1}, {5, 4, 6}, {1, 2, 8}}, [][]float64{{1}, {4}, {9}}}
	plain, err := Proportional(d, Probit)
	if err != nil {
		t.Fatal(err)
	}
	same, err := Spread(d, Probit, []float64{4, 4, 4})
	if err != nil {
		t.Fatal(err)
	}
	for k, v := range plain.Coef {
		if math.Abs(same.Coef[k]-4*v) > 1e-9 || math.Abs(same.Observed[k][k]-16*plain.Observed[k][k]) > 1e-8 {
			t.Errorf("coefficient %d: got %v, want 4 × %v", k, same.Coef[k], v)
		}
	}
	a, err := Spread(d, Probit, []float64{1, 2, 3})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Spread(d, Probit, []float64{10, 20, 30})
	if err != nil {
		t.Fatal(err)
	}
	p, e := a.SpreadProbabilities([]float64{4}, 2)
	q, f := b.SpreadProbabilities([]float64{4}, 20)
	for s := range p {
		if math.Abs(p[s]-q[s]) > 1e-9 || math.Abs(e[s]-f[s]) > 1e-9 {
			t.Errorf("stage %d: %v ± %v in one unit, %v ± %v in another", s, p[s], e[s], q[s], f[s])
		}
	}
	if math.Abs(a.LogLikKernel-plain.LogLikKernel) < 1e-3 {
		t.Errorf("the spread made no difference: %v", a.LogLikKernel)
	}
	for _, spread := range [][]float64{{1, 2}, {1, 2, 0}, {1, 2, math.NaN()}, {1, 2, math.Inf(1)}} {
		if _, err := Spread(d, Probit, spread); err == nil {
			t.Errorf("spread %v: got no error", spread)
		}
	}
	if at, err := a.Beyond(0, 0.5); err == nil {
		t.Errorf("where half are beyond a cut: got %v", at)
	}
	if at, err := a.BeyondProfile(d, 0, 0.5, 0.9); err == nil {
		t.Errorf("and its interval: got %v", at)
	}
}

// TestOneGroupOfOneStage: a cultivar of which all fruit are green has a slope without end, on every link.
func TestOneGroupOfOneStage(t *testing.T) {
	d := Data{stages, [][]float64{{5, 3, 1}, {2, 6, 4}, {8, 0, 0}}, [][]float64{{0, 0}, {1, 0}, {0, 1}}}
	for _, link := range []Link{Logit, Probit, CLogLog} {
		c, err := Proportional(d, link)
		if r := new(Refusal); !errors.As(err, &r) {
			t.Errorf("link %d: got %+v, %v; want a refusal", link, c, err)
		}
	}
}

func BenchmarkProportional(b *testing.B) {
	d := Data{Stages: stages}
	for i := range 20 {
		d.Counts = append(d.Counts, []float64{float64(20 - i), 5, float64(i)})
		d.X = append(d.X, []float64{float64(i)})
	}
	for b.Loop() {
		if _, err := Proportional(d, Logit); err != nil {
			b.Fatal(err)
		}
	}
}
