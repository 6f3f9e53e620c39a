package curve

import (
	"math"
	"testing"
	"time"
)

// The picks of 135 greenhouse tomato plants, all plants together, 12 sessions of 2024: fruit picked so far.
// Source: Universidad de Antioquia (2025), Mobile and Manual Dataset for Greenhouse Tomato Crop, Zenodo,
// doi 10.5281/zenodo.16745911, CC BY 4.0 (published counts, repeated rows removed).
var greenhousePicks = []struct {
	on     string
	picked float64
}{
	{"2024-01-18", 118}, {"2024-01-25", 621}, {"2024-02-01", 1473}, {"2024-02-09", 2219}, {"2024-02-15", 3166}, {"2024-02-23", 4343},
	{"2024-03-01", 4757}, {"2024-03-08", 5090}, {"2024-03-15", 5817}, {"2024-03-22", 6979}, {"2024-03-27", 7455}, {"2024-04-01", 8489},
}

// greenhouse is their mean a plant as the means of a series, day 0 being 18 January.
func greenhouse(t *testing.T) series {
	t.Helper()
	first, err := time.Parse(time.DateOnly, greenhousePicks[0].on)
	if err != nil {
		t.Fatal(err)
	}
	s := series{plants: 1}
	for _, p := range greenhousePicks {
		on, err := time.Parse(time.DateOnly, p.on)
		if err != nil {
			t.Fatal(err)
		}
		s.obs = append(s.obs, observation{at: on, x: daysBetween(first, on), reached: p.picked / 135})
	}
	return s
}

// TestGreenhousePicks: the curves published with the picks' analysis (least squares with standard statistics software,
// to the digits given there) come out of the fit, the Gompertz is chosen, by AICc as by AIC, and the product then refuses
// to answer: an eighth of all fruit came in the last five days, so no level is in sight.
func TestGreenhousePicks(t *testing.T) {
	s := greenhouse(t)
	for _, c := range []struct {
		family          string
		a, k, t0, aic   float64
		unitA, unitK    float64 // of the last digit given; t0 is given to that of a
		reachedAtTheEnd float64
	}{
		{"logistic", 70.28, 0.05532, 44.15, 68.76, 0.01, 0.00001, 0.84},
		{"gompertz", 86.84, 0.02849, 40.12, 63.44, 0.01, 0.00001, 0.68},
	} {
		for _, family := range families() {
			if family.Family() != c.family {
				continue
			}
			f, err := fitFamily(family, dataOf(s.means()))
			if err != nil {
				t.Fatalf("%s: %v", c.family, err)
			}
			for j, want := range []float64{c.a, c.k, c.t0} {
				unit := []float64{c.unitA, c.unitK, c.unitA}[j]
				if math.Abs(f.Theta[j]-want) > unit/2*1.0001 {
					t.Errorf("%s %s: got %v, want %v", c.family, f.Names[j], f.Theta[j], want)
				}
			}
			if math.Abs(f.AIC-c.aic) > 0.005 {
				t.Errorf("%s AIC: got %.3f, want %v", c.family, f.AIC, c.aic)
			}
			if got := family.Value(74, f.Theta) / f.Theta[0]; math.Abs(got-c.reachedAtTheEnd) > 0.01 {
				t.Errorf("%s: %.3f of its level reached on 1 April, want %v", c.family, got, c.reachedAtTheEnd)
			}
		}
	}
	f, err := fit(s)
	if err != nil {
		t.Fatal(err)
	}
	if f.sigmoid.Family() != "gompertz" {
		t.Errorf("chose %s, want gompertz: its AIC is 5.3 smaller", f.sigmoid.Family())
	}
	if !f.unfinished() {
		t.Error("the picks were still rising on 1 April: want a refusal")
	}
}
