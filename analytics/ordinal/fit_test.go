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
			if F, _, _ := link.at(link.Inverse(p)); math.Abs(F-p) > 1e-12 {
				t.Errorf("link %d: F of the inverse of %v is %v", link, p, F)
			}
		}
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
