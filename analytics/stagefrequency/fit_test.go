package stagefrequency_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"vinetally/analytics/ordinal"
	"vinetally/analytics/stagefrequency"
)

// fruit are the synthetic counts of the reference file stage-frequency-fruit-synthetic.
func fruit() stagefrequency.Visits {
	return stagefrequency.Visits{
		Times:  []float64{380, 420, 460, 500, 540, 580, 620},
		Stages: []string{"green", "breaker", "turning", "red"},
		Counts: [][]float64{{30, 0, 0, 0}, {27, 2, 1, 0}, {20, 6, 3, 1}, {12, 7, 6, 5}, {4, 4, 7, 15}, {1, 1, 4, 24}, {0, 0, 1, 29}},
	}
}

func fit(t *testing.T, v stagefrequency.Visits, variance stagefrequency.Variance, link ordinal.Link) *stagefrequency.Fit {
	t.Helper()
	f, err := stagefrequency.New(v, variance, link)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

var variances = []stagefrequency.Variance{stagefrequency.Proportional, stagefrequency.Constant}

// The time at which a share has passed is where the shares say so, for symmetric and other links.
func TestPassedAgreesWithShares(t *testing.T) {
	for _, variance := range variances {
		for _, link := range []ordinal.Link{ordinal.Logit, ordinal.Probit, ordinal.CLogLog, ordinal.LogLog} {
			f := fit(t, fruit(), variance, link)
			for cut := range f.Cuts {
				for _, p := range []float64{0.01, 0.5, 0.9} {
					at, err := f.Passed(cut, p)
					if err != nil {
						t.Fatal(err)
					}
					shares, se, err := f.Shares(at.At)
					if err != nil {
						t.Fatal(err)
					}
					past := 0.0
					for _, s := range shares[cut+1:] {
						past += s
					}
					near(t, "share past "+f.Cuts[cut], past, p, 1e-9)
					if cut == len(f.Cuts)-1 {
						// With the share alone beyond, its error is that of the time by the slope of the share.
						const step = 1e-3
						later, _, err := f.Shares(at.At + step)
						if err != nil {
							t.Fatal(err)
						}
						before, _, err := f.Shares(at.At - step)
						if err != nil {
							t.Fatal(err)
						}
						near(t, "error", at.SE, se[cut+1]/((later[cut+1]-before[cut+1])/(2*step)), 1e-5)
					}
				}
			}
			if link == ordinal.Logit || link == ordinal.Probit {
				half, err := f.Passed(1, 0.5)
				if err != nil {
					t.Fatal(err)
				}
				near(t, "half past", half.At, f.A[1], 1e-12)
				near(t, "its error", half.SE, f.SE()[1], 1e-9)
			}
		}
	}
}

// A constant variance is the cumulative link model.
func TestConstantVarianceIsACumulativeLinkModel(t *testing.T) {
	v := fruit()
	d := ordinal.Data{Stages: v.Stages, Counts: v.Counts}
	for _, at := range v.Times {
		d.X = append(d.X, []float64{at})
	}
	c, err := ordinal.Proportional(d, ordinal.Logit)
	if err != nil {
		t.Fatal(err)
	}
	f := fit(t, v, stagefrequency.Constant, ordinal.Logit)
	for cut := range f.Cuts {
		half, err := c.Beyond(cut, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "a", f.A[cut], half.At, 1e-10)
		near(t, "its error", f.SE()[cut], half.SE, 1e-8)
	}
	near(t, "log-likelihood", f.LogLikKernel, c.LogLikKernel, 1e-12)
}

// Neither the unit of time, nor the order of visits, nor a visit split in two changes what is said.
func TestWhatDoesNotMatter(t *testing.T) {
	for _, variance := range variances {
		want := fit(t, fruit(), variance, ordinal.Logit)
		hours, turned, split := fruit(), fruit(), fruit()
		for i := range hours.Times {
			hours.Times[i] *= 24
			k := len(turned.Times) - 1 - i
			turned.Times[i], turned.Counts[i] = fruit().Times[k], fruit().Counts[k]
		}
		split.Counts[3] = []float64{12, 0, 6, 0}
		split.Times, split.Counts = append(split.Times, 500), append(split.Counts, []float64{0, 7, 0, 5})
		f := fit(t, hours, variance, ordinal.Logit)
		power := map[stagefrequency.Variance]float64{stagefrequency.Proportional: 24, stagefrequency.Constant: 24 * 24}[variance]
		near(t, "b² in hours", f.B2, power*want.B2, 1e-9)
		near(t, "its error", f.SE()[3], power*want.SE()[3], 1e-7)
		near(t, "a in hours", f.A[2], 24*want.A[2], 1e-10)
		for name, v := range map[string]stagefrequency.Visits{"turned": turned, "split": split} {
			f := fit(t, v, variance, ordinal.Logit)
			for cut := range f.Cuts {
				near(t, name, f.A[cut], want.A[cut], 1e-10)
			}
		}
	}
}

// Counts drawn from the model: a and b² come back, and their 95 % intervals hold them about as often as they say. Of 400 draws a right
// interval holds 365 to 393 with a chance of 0.999 (binomial).
func TestComesBack(t *testing.T) {
	a, b2 := []float64{30, 34, 40}, 0.3
	rng := rand.New(rand.NewPCG(2026, 84))
	held := make([]int, len(a)+1)
	for range 400 {
		v := stagefrequency.Visits{Stages: []string{"green", "breaker", "turning", "red"}}
		for at := 20.0; at <= 50; at += 3 {
			row := make([]float64, len(a)+1)
			for range 40 {
				u := rng.Float64()
				developed := at + math.Sqrt(b2*at)*math.Log(u/(1-u))
				stage := 0
				for stage < len(a) && developed > a[stage] {
					stage++
				}
				row[stage]++
			}
			v.Times, v.Counts = append(v.Times, at), append(v.Counts, row)
		}
		f := fit(t, v, stagefrequency.Proportional, ordinal.Logit)
		se := f.SE()
		for j, truth := range append(append([]float64(nil), a...), b2) {
			if got := append(append([]float64(nil), f.A...), f.B2)[j]; math.Abs(got-truth) < 1.96*se[j] {
				held[j]++
			}
		}
	}
	for j, n := range held {
		if n < 365 || n > 393 {
			t.Errorf("the 95 %% interval of parameter %d held the truth %d times of 400", j+1, n)
		}
	}
}

func TestWarnings(t *testing.T) {
	says := func(f *stagefrequency.Fit, words string) {
		t.Helper()
		if !strings.Contains(strings.Join(f.Warnings, "\n"), words) {
			t.Errorf("got warnings %q, want one with %q", f.Warnings, words)
		}
	}
	if f := fit(t, fruit(), stagefrequency.Proportional, ordinal.Logit); len(f.Warnings) > 0 {
		t.Errorf("nothing is wrong, and it warns: %q", f.Warnings)
	}
	unseen := fruit()
	unseen.Stages = []string{"green", "breaker", "turning", "pink", "red"}
	for i, row := range unseen.Counts {
		unseen.Counts[i] = []float64{row[0], row[1], row[2], 0, row[3]}
	}
	f := fit(t, unseen, stagefrequency.Proportional, ordinal.Logit)
	says(f, "no fruit was seen at pink")
	near(t, "Pearson", f.Pearson, fit(t, fruit(), stagefrequency.Proportional, ordinal.Logit).Pearson, 1e-9)
	early := fruit()
	early.Times, early.Counts = early.Times[:4], early.Counts[:4]
	says(fit(t, early, stagefrequency.Proportional, ordinal.Logit), "outside the times of the visits")
	trusses := fruit() // all fruit of a truss alike: as if every fruit were ten
	for _, row := range trusses.Counts {
		for s := range row {
			row[s] *= 10
		}
	}
	trusses.Counts[1], trusses.Counts[4] = []float64{200, 90, 10, 0}, []float64{100, 10, 100, 90}
	says(fit(t, trusses, stagefrequency.Proportional, ordinal.Logit), "vary more than the model allows")
}

func TestRefused(t *testing.T) {
	nan := math.NaN()
	stages := []string{"green", "breaker", "red"}
	counts := [][]float64{{9, 3, 1}, {5, 4, 6}, {1, 2, 8}}
	for name, v := range map[string]stagefrequency.Visits{
		"nothing":           {},
		"a time missing":    {Times: []float64{1, 2}, Stages: stages, Counts: counts},
		"time zero":         {Times: []float64{0, 1, 2}, Stages: stages, Counts: counts},
		"time that is none": {Times: []float64{1, nan, 2}, Stages: stages, Counts: counts},
		"one time":          {Times: []float64{4, 4, 4}, Stages: stages, Counts: counts},
		"green only":        {Times: []float64{1, 2, 3}, Stages: stages, Counts: [][]float64{{9, 0, 0}, {5, 0, 0}, {1, 0, 0}}},
		"all at one time":   {Times: []float64{1, 2, 3}, Stages: stages, Counts: [][]float64{{9, 0, 0}, {0, 5, 0}, {0, 0, 4}}},
		"backwards":         {Times: []float64{3, 2, 1}, Stages: stages, Counts: counts},
		"a count below 0":   {Times: []float64{1, 2, 3}, Stages: stages, Counts: [][]float64{{9, 3, 1}, {5, -4, 6}, {1, 2, 8}}},
		"rows of two kinds": {Times: []float64{1, 2, 3}, Stages: stages, Counts: [][]float64{{9, 3, 1}, {5, 4}, {1, 2, 8}}},
	} {
		f, err := stagefrequency.New(v, stagefrequency.Proportional, ordinal.Logit)
		if refusal := (*ordinal.Refusal)(nil); !errors.As(err, &refusal) {
			t.Errorf("%s: got %+v, %v; want a refusal", name, f, err)
		}
	}
	f := fit(t, fruit(), stagefrequency.Proportional, ordinal.Logit)
	for _, at := range []float64{0, -1, nan, math.Inf(1)} {
		if shares, _, err := f.Shares(at); err == nil {
			t.Errorf("at %v: got %v", at, shares)
		}
	}
	for _, c := range []struct {
		cut int
		p   float64
	}{{-1, 0.5}, {3, 0.5}, {0, 0}, {0, 1}, {0, nan}} {
		if at, err := f.Passed(c.cut, c.p); err == nil {
			t.Errorf("cut %d, share %v: got %v", c.cut, c.p, at)
		}
	}
	if f, err := stagefrequency.New(stagefrequency.Visits{Times: []float64{-1, 0, 1}, Stages: stages, Counts: counts}, stagefrequency.Constant, ordinal.Logit); err != nil {
		t.Errorf("with a constant variance times may be counted from anywhere: %v, %v", f, err)
	}
}

var kept *stagefrequency.Fit

func BenchmarkFit(b *testing.B) {
	v := fruit()
	for b.Loop() {
		f, err := stagefrequency.New(v, stagefrequency.Proportional, ordinal.Logit)
		if err != nil {
			b.Fatal(err)
		}
		kept = f
	}
}
