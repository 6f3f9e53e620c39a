package ripening

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"

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
	c := Course{plants: []*Outlook{{run: s.stretch(pi, []float64{1, 2, 5})}}, ends: []float64{1, 2, 5}, effect: newForms(3)}
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
		m := fitted(w, asOf)
		all := m.Outlooks(func(p *Plant) *Weather {
			w := m.Clocks.NewWeather(p.Records.Plant, asOf, Fortnight)
			return &w
		}, func(*Plant) float64 { return 7 })
		second := Uncertainty(all)
		for _, o := range all { // of the first order
			o.bent, o.bentOwn = nil, nil
		}
		c, unsure := CourseOf(all), Uncertainty(all)
		for d := range Fortnight {
			want := 0.0
			for _, o := range all {
				want += o.Weathers[0].Variance[d]
			}
			if second[d] < unsure[d] || second[d] > 2*unsure[d] {
				t.Errorf("day %d, %d ahead: a variance of %v, to the second order of %v", day, d+1, unsure[d], second[d])
			}
			chance, shared := c.Variance(float64(d+1), 0)
			if math.Abs(chance-want) > 1e-9*(1+want) || math.Abs(shared-unsure[d]) > 1e-9*(1+unsure[d]) {
				t.Errorf("day %d of the season, %d ahead: variance %v and %v, want %v and %v", day, d+1, chance, shared, want, unsure[d])
			}
		}
		chance, shared := c.Variance(c.ends[len(c.ends)-1], 1)
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

// TestLeftByHand: of 10 fruit that a plant had at the count and 2 that have set since, what is left of each on the ends of steps and between them: the
// numbers by their chances, of the older ones the variance of independent fruit, of the younger, whose number is as good as unknown, eight times the
// mean and its square.
func TestLeftByHand(t *testing.T) {
	s := newState()
	pi := [][]float64{{0.5, 1, 1}, {0, 0.25, 1}}
	s.days = 30
	for i, m := range []float64{10, 2} {
		x := s.add(0)
		x.mean, x.begun, x.ended = m, float64(20*i), float64(20*i+10)
	}
	s.row(1)[1] = 50
	o := Outlook{Plant: &Plant{Cultivar: &Cultivar{fit: &fit{layout: layout{1}}}}, Later: make([]float64, 112), spread: []float64{0}, Ripening: 12, run: s.stretch(pi, []float64{1, 2, 112}), unseen: s.setSince(pi, 3, 10)}
	for d := range o.Later {
		switch d {
		case 0:
			o.Later[d] = 5
		case 1:
			o.Later[d] = 10.5
		default:
			o.Later[d] = 10.5 + 1.5*float64(d-1)/110
		}
	}
	for range 3 {
		o.shared = append(o.shared, make([]float64, layout{1}.size()))
	}
	o.own = make([]float64, 3)
	o.Plant.Cultivar.fit.covariance = mat.NewSymDense(layout{1}.size(), nil)
	c := CourseOf([]*Outlook{&o})
	if c.Seen != (Number{10, 0}) || c.Unseen != (Number{2, 20}) {
		t.Errorf("%v had set by the count, %v since", c.Seen, c.Unseen)
	}
	for _, x := range []struct{ day, seen, young float64 }{{1, 0.5, 1}, {2, 0, 0.75}, {1.5, 0.25, 0.875}, {112, 0, 0}} {
		seen, unseen := c.Left(x.day)
		if math.Abs(seen.Mean-10*x.seen) > 1e-9 || math.Abs(seen.Variance-10*x.seen*(1-x.seen)) > 1e-9 {
			t.Errorf("day %v: %v of the older are left, want %v of variance %v", x.day, seen, 10*x.seen, 10*x.seen*(1-x.seen))
		}
		if want := 2*x.young + (20-2)*x.young*x.young; math.Abs(unseen.Mean-2*x.young) > 1e-9 || math.Abs(unseen.Variance-want) > 1e-9 {
			t.Errorf("day %v: %v of the younger are left, want %v of variance %v", x.day, unseen, 2*x.young, want)
		}
	}
}

// TestUnseenTogether: how far what has set unseen is from what set lately two plants share, up to a standard deviation of each as large as the number.
func TestUnseenTogether(t *testing.T) {
	a, b := unseen{by: []float64{1, 3}, filtered: 40, believed: 12, shared: 3}, unseen{by: []float64{0, 2}, filtered: 5, believed: 1, shared: 1}
	a.add(&b)
	if a.number() != 5 || a.by[0] != 1 || a.filtered != 45 || a.believed != 12+1+2*3*1 || a.shared != 4 {
		t.Errorf("together %+v", a)
	}
}

// TestSetSince: of a cohort that began to set before the last count and went on after it, the part that did is unseen.
func TestSetSince(t *testing.T) {
	s := newState()
	s.days = 30
	for _, x := range []struct{ begun, ended float64 }{{10, 20}, {20, 24}, {24, 28}, {28, 30}} {
		y := s.add(0)
		y.mean, y.begun, y.ended = 4, x.begun, x.ended
	}
	s.add(1).mean = 3
	pi := make([][]float64, len(s.cohorts))
	for i := range pi {
		pi[i] = []float64{0.5}
	}
	if u := s.setSince(pi, 1, 5); math.Abs(u.number()-0.5*(3+4)) > 1e-12 {
		t.Errorf("%v have set in five days, want %v", u.number(), 0.5*(3+4))
	}
}

// TestPart: the variance of a part is no more than where all or none are in it: of 3 fruit for certain that of 3·Bernoulli(1/3), of one that may be two
// that of its number.
func TestPart(t *testing.T) {
	for _, x := range []struct {
		all        Number
		mean, v, w float64
	}{{Number{3, 0}, 1, 50, 9 * (1. / 3) * (2. / 3)}, {Number{3, 0}, 1, 0.5, 0.5}, {Number{1, 0.5}, 1, 50, 0.5}, {Number{1, 0.5}, 2, 50, 0.5}, {Number{}, 0, 50, 0}} {
		if got := x.all.Part(x.mean, x.v); math.Abs(got.Variance-x.w) > 1e-12 || got.Mean != x.mean {
			t.Errorf("%v of %v with a variance of %v: %v, want %v", x.mean, x.all, x.v, got, x.w)
		}
	}
}

// TestAllOrNone: the filter may know that there are 2 fruit and not of which age, so that one age varies by more than 2 fruit can; on each plant no more
// than two that ripen together are believed, and plants ripen by themselves.
func TestAllOrNone(t *testing.T) {
	c := Course{ends: []float64{1, 5}, effect: newForms(2), unseen: unseen{by: make([]float64, 2)}, Ripening: Number{Mean: 6}, Later: []float64{3, 3, 3, 3, 6}}
	for range 3 {
		s := newState()
		for range 2 {
			s.add(0).mean = 1
		}
		copy(s.row(0), []float64{51, -51})
		copy(s.row(1), []float64{-51, 51})
		c.plants = append(c.plants, &Outlook{run: s.stretch([][]float64{{1, 1}, {0, 1}}, c.ends), unseen: unseen{by: make([]float64, 2)}})
	}
	for share, want := range map[float64]float64{0: 3, 0.5: 3, 1: 3} { // R of a plant is 2 or 0, N is 2
		if got, _ := c.Variance(1, share); math.Abs(got-want) > 1e-9 {
			t.Errorf("share %v: variance %v, want %v", share, got, want)
		}
	}
	if seen, _ := c.Left(1); math.Abs(seen.Mean-3) > 1e-9 || math.Abs(seen.Variance-3) > 1e-9 {
		t.Errorf("%v are left, want 3 of variance 3", seen)
	}
	if seen, _ := c.Left(5); seen.Mean > 1e-9 || seen.Variance > 1e-9 {
		t.Errorf("%v are left at the end", seen)
	}
}
