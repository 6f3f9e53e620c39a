package glm

import (
	"errors"
	"math"
	"testing"
)

func TestRefusals(t *testing.T) {
	line := [][]float64{{1, 0}, {1, 1}, {1, 2}, {1, 3}}
	groups := [][]float64{{1, 0}, {1, 0}, {1, 1}, {1, 1}}
	tens := []float64{10, 10, 10, 10}
	cases := map[string]struct {
		d    Data
		link Link
	}{
		"complete separation":     {Data{X: line, Y: []float64{0, 0, 10, 10}, Trials: tens}, Logit},
		"one group all, logit":    {Data{X: groups, Y: []float64{3, 4, 10, 10}, Trials: tens}, Logit},
		"one group all, probit":   {Data{X: groups, Y: []float64{3, 4, 10, 10}, Trials: tens}, Probit},
		"one group all, cloglog":  {Data{X: groups, Y: []float64{3, 4, 10, 10}, Trials: tens}, CLogLog},
		"one group none, counts":  {Data{X: groups, Y: []float64{3, 4, 0, 0}}, Log},
		"no number":               {Data{X: line, Y: []float64{1, math.NaN(), 3, 4}, Trials: tens}, Logit},
		"an offset without end":   {Data{X: line, Y: []float64{1, 2, 3, 4}, Offset: []float64{0, 0, math.Inf(-1), 0}}, Log},
		"one day between":         {Data{X: line, Y: []float64{0, 3, 10, 10}, Trials: tens}, Logit},
		"nothing happened":        {Data{X: line, Y: []float64{0, 0, 0, 0}, Trials: tens}, Logit},
		"everything happened":     {Data{X: line, Y: tens, Trials: tens}, CLogLog},
		"the same column twice":   {Data{X: [][]float64{{1, 1}, {1, 1}, {1, 1}}, Y: []float64{1, 2, 3}}, Log},
		"fewer rows than columns": {Data{X: [][]float64{{1, 2}}, Y: []float64{3}}, Log},
		"more than there were":    {Data{X: line, Y: []float64{1, 2, 3, 11}, Trials: tens}, Logit},
		"a link of shares":        {Data{X: line, Y: []float64{1, 2, 3, 4}}, Logit},
		"rows of two lengths":     {Data{X: [][]float64{{1, 2}, {1}, {1, 3}}, Y: []float64{3, 1, 2}}, Log},
	}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			f, err := Regress(c.d, c.link)
			if r := new(Refusal); !errors.As(err, &r) {
				t.Errorf("got %+v, %v; want a refusal", f, err)
			}
		})
	}
}

// TestUnits: measuring time in hours changes the slope by 24 and nothing else.
func TestUnits(t *testing.T) {
	y, n := []float64{1, 4, 6, 9}, []float64{10, 10, 10, 10}
	for _, link := range []Link{Logit, Probit, CLogLog} {
		days, err := Regress(Data{X: [][]float64{{1, 90}, {1, 94}, {1, 97}, {1, 101}}, Y: y, Trials: n}, link)
		if err != nil {
			t.Fatal(err)
		}
		hours, err := Regress(Data{X: [][]float64{{1, 90 * 24}, {1, 94 * 24}, {1, 97 * 24}, {1, 101 * 24}}, Y: y, Trials: n}, link)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := days.Coef[1], hours.Coef[1]*24; !close(a, b) || !close(days.Deviance, hours.Deviance) || !close(days.SE()[1], 24*hours.SE()[1]) {
			t.Errorf("link %d: slope %v and %v a day, deviance %v and %v", link, a, b, days.Deviance, hours.Deviance)
		}
	}
}

func close(a, b float64) bool { return a-b < 1e-8*b && b-a < 1e-8*b }

func BenchmarkRegress(b *testing.B) {
	d := Data{}
	for i := range 30 {
		d.X = append(d.X, []float64{1, float64(i)})
		d.Y = append(d.Y, float64(i))
		d.Trials = append(d.Trials, 30)
	}
	for b.Loop() {
		if _, err := Regress(d, Logit); err != nil {
			b.Fatal(err)
		}
	}
}
