package ordinal

import (
	"math"
	"testing"

	"vinetally/analytics/glm"
)

// TestProfileOfTwoStages: with two stages the model is a binomial regression, in which the day of half is held by an offset and a column
// without an intercept. At both ends the deviance is higher by 3.841, the 95 % quantile of χ² on 1 degree of freedom (any table).
func TestProfileOfTwoStages(t *testing.T) {
	d := Data{Stages: []string{"green", "red"}, Counts: [][]float64{{12, 1}, {9, 4}, {5, 7}, {2, 11}}, X: [][]float64{{40}, {47}, {54}, {61}}}
	c, err := Proportional(d, Logit)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []float64{0.5, 0.9} {
		profile, err := c.BeyondProfile(d, 0, p, 0.95)
		if err != nil || !profile.LowOK || !profile.HighOK {
			t.Fatalf("%+v, %v", profile, err)
		}
		at, err := c.Beyond(0, p)
		if err != nil {
			t.Fatal(err)
		}
		if !(profile.Low < at.At && at.At < profile.High) {
			t.Errorf("share %v: %v isn't within %+v", p, at.At, profile)
		}
		for _, end := range []float64{profile.Low, profile.High} {
			var g glm.Data
			for i, row := range d.Counts {
				g.X = append(g.X, []float64{d.X[i][0] - end})
				g.Y, g.Trials = append(g.Y, row[1]), append(g.Trials, row[0]+row[1])
				g.Offset = append(g.Offset, math.Log(p/(1-p)))
			}
			fit, err := glm.Regress(g, glm.Logit)
			if err != nil {
				t.Fatal(err)
			}
			if rise := fit.Deviance - c.Deviance; math.Abs(rise-3.841459) > 1e-5 {
				t.Errorf("share %v, end %v: the deviance rises by %v", p, end, rise)
			}
		}
	}
}

// TestProfileOfMuchFruit: with very much fruit the profile interval comes to that of the delta method, for any cut and link.
func TestProfileOfMuchFruit(t *testing.T) {
	const many = 1e4
	d := Data{Stages: stages, X: [][]float64{{1}, {4}, {9}}}
	for _, row := range [][]float64{{9, 3, 1}, {5, 4, 6}, {1, 2, 8}} {
		d.Counts = append(d.Counts, []float64{many * row[0], many * row[1], many * row[2]})
	}
	for _, link := range []Link{Logit, Probit, CLogLog} {
		for _, fit := range []func(Data, Link) (*Cumulative, error){Proportional, Separate} {
			c, err := fit(d, link)
			if err != nil {
				t.Fatal(err)
			}
			for cut := range 2 {
				at, err := c.Beyond(cut, 0.5)
				if err != nil {
					t.Fatal(err)
				}
				p, err := c.BeyondProfile(d, cut, 0.5, 0.95)
				if err != nil || !p.LowOK || !p.HighOK {
					t.Fatalf("link %d cut %d: %+v, %v", link, cut, p, err)
				}
				half := 1.959964 * at.SE
				if math.Abs(p.Low-(at.At-half)) > 0.02*half || math.Abs(p.High-(at.At+half)) > 0.02*half {
					t.Errorf("link %d cut %d: profile %v to %v, delta method %v to %v", link, cut, p.Low, p.High, at.At-half, at.At+half)
				}
			}
		}
	}
}

// TestProfileWithoutEnd: where the stages hardly change with the days, the day has no end on at least one side.
func TestProfileWithoutEnd(t *testing.T) {
	d := Data{Stages: []string{"green", "red"}, Counts: [][]float64{{6, 4}, {5, 5}, {5, 6}}, X: [][]float64{{1}, {2}, {3}}}
	c, err := Proportional(d, Logit)
	if err != nil {
		t.Fatal(err)
	}
	p, err := c.BeyondProfile(d, 0, 0.9, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if p.HighOK {
		t.Errorf("got %+v; want no end", p)
	}
}
