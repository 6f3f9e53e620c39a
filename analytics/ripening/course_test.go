package ripening

import (
	"math"
	"testing"
	"time"

	"vinetally/analytics/ledger"
	"vinetally/analytics/simulate"
)

// TestCourseByHand: of 10 fruit, 4 of one kind and 6 of another, each ripe by a day with a chance of its kind, R − s·N has the variance of independent fruit that count
// 1 − s if they are ripe by the day, −s if they are later and nothing if never: on the ends of steps and between them.
func TestCourseByHand(t *testing.T) {
	s := newState()
	fruit, pi := []float64{4, 6}, [][]float64{{0.3, 0.8, 1}, {0, 0.25, 0.9}}
	for _, m := range fruit {
		s.add(0).mean = m
	}
	c := Course{run: s.stretch(pi, []float64{1, 2, 5})}
	for _, x := range []struct {
		day float64
		p   [2]float64
	}{{1, [2]float64{0.3, 0}}, {0.5, [2]float64{0.15, 0}}, {2, [2]float64{0.8, 0.25}}, {3.5, [2]float64{0.9, 0.575}}, {5, [2]float64{1, 0.9}}, {9, [2]float64{1, 0.9}}} {
		for _, share := range []float64{0, 0.5, 0.9, 1} {
			want := 0.0
			for i, m := range fruit {
				p, ever := x.p[i], pi[i][2]
				mean := p*(1-share) - (ever-p)*share
				want += m * (p*(1-share)*(1-share) + (ever-p)*share*share - mean*mean)
			}
			if got, unsure := c.Variance(x.day, share); math.Abs(got-want) > 1e-12 || unsure != 0 {
				t.Errorf("day %v, share %v: variance %v and %v, want %v and 0", x.day, share, got, unsure, want)
			}
		}
	}
}

// TestCourseOfMany: on the days of the forecast what plants together leave open is the sum of what they do by themselves and, of the parameters, what
// Uncertainty says; and at the end nothing is left.
func TestCourseOfMany(t *testing.T) {
	conduct, _ := simulate.Named("two cultivars")
	w := simulate.New(conduct, 3)
	for _, day := range []int{80, 110, 140} {
		asOf := w.Start.Add(time.Duration(day)*24*time.Hour + 20*time.Hour)
		cut := w.Trial.AsOf(asOf)
		records := cut.ByPlant()
		books := make([]ledger.Book, len(records))
		for i := range records {
			books[i] = ledger.Of(records[i])
		}
		m := Of(cut, records, books, asOf, nil)
		all := m.Outlooks(func(p *Plant) *Weather {
			w := m.Clocks.NewWeather(p.Records.Plant, asOf, Fortnight)
			return &w
		}, func(*Plant) float64 { return 7 })
		c, unsure := CourseOf(all), Uncertainty(all)
		for d := range Fortnight {
			want := 0.0
			for _, o := range all {
				want += o.Weathers[0].Variance[d]
			}
			chance, shared := c.Variance(float64(d+1), 0)
			if math.Abs(chance-want) > 1e-9*(1+want) || math.Abs(shared-unsure[d]) > 1e-9*(1+unsure[d]) {
				t.Errorf("day %d of the season, %d ahead: variance %v and %v, want %v and %v", day, d+1, chance, shared, want, unsure[d])
			}
		}
		chance, shared := c.Variance(c.run.ends[len(c.run.ends)-1], 1)
		if math.Abs(chance) > 1e-9 || math.Abs(shared) > 1e-9 {
			t.Errorf("day %d: a variance of %v and %v is left at the end", day, chance, shared)
		}
		// nothing but the order of the sums is another
		back := CourseOf(append(append([]*Outlook(nil), all[4:]...), all[:4]...))
		if x, y := c.Ripening, back.Ripening; math.Abs(x.Mean-y.Mean) > 1e-9*x.Mean || math.Abs(x.Variance-y.Variance) > 1e-9*x.Variance {
			t.Errorf("day %d: %v to ripen, in another order %v", day, x, y)
		}
	}
	if CourseOf(nil) != nil {
		t.Error("a course of no plants")
	}
}
