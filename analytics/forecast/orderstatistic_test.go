package forecast

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/ripening"
)

// evenly are n fruit that ripen independently, each on any of so many days.
func evenly(n, days float64) *ripening.Course {
	c := &ripening.Course{Ripening: ripening.Number{Mean: n}}
	for d := range 112 {
		c.Later = append(c.Later, n*math.Min(1, float64(d+1)/days))
	}
	return c
}

// reached is when a share of them is expected to be ripe.
func reached(n, days, share float64) moment {
	return moment{share: share, day: share * days, chance: n * share * (1 - share)}
}

// TestRipeByOrderStatistic: where nothing is unsure but which fruit ripens first, the chance that k of n are ripe by a day is that of a binomial number of k or
// more (Abramowitz and Stegun 1964, 26.5.24; by gonum's binomial distribution), and the interval's ends are the days about it.
func TestRipeByOrderStatistic(t *testing.T) {
	const days = 41.3
	asOf := time.Date(2026, 2, 8, 0, 0, 0, 0, time.UTC)
	for _, n := range []float64{1, 2, 5, 20, 201} {
		for _, share := range []float64{math.Min(half, 1/n), half, most} {
			r := quantiles(112, asOf, shareBy(evenly(n, days), reached(n, days, share)))
			chance := func(at time.Time) float64 {
				p := math.Min(1, at.Sub(asOf).Hours()/24/days)
				if p == 1 {
					return 1
				}
				return 1 - distuv.Binomial{N: n, P: p}.CDF(math.Ceil(share*n-1e-9)-1)
			}
			if chance(r.Low) > 0.05 || chance(r.Low.AddDate(0, 0, 1)) <= 0.05 || chance(r.High) < 0.95 || chance(r.High.AddDate(0, 0, -1)) >= 0.95 {
				t.Errorf("%v of %v fruit by %v to %v: chances of %v and %v", share, n, r.Low, r.High, chance(r.Low), chance(r.High))
			}
		}
	}
}

// TestRipeByTogether: what moves all fruit together widens the interval even of very many fruit: by 1.645 standard deviations of the day's logarithm
// where the clocks alone are unsure (three points stand for them, the outer ones √3 off), and as much where the parameters are.
func TestRipeByTogether(t *testing.T) {
	asOf := time.Date(2026, 2, 8, 0, 0, 0, 0, time.UTC)
	const n, sd = 20000, 0.2
	for name, set := range map[string]func(*moment){
		"weather":    func(m *moment) { m.weather = sd },
		"parameters": func(m *moment) { m.unsure = math.Pow(sd*m.day*n/60, 2) }, // n/60 ripen a day
	} {
		m := reached(n, 60, half)
		set(&m)
		r := quantiles(112, asOf, shareBy(evenly(n, 60), m))
		low, high := r.Low.Sub(asOf).Hours()/24, r.High.Sub(asOf).Hours()/24
		if want := 30 * math.Exp(-1.645*sd); math.Abs(low-want) > 1.5 {
			t.Errorf("%s: from day %v, want about %v", name, low, want)
		}
		if want := 30 * math.Exp(1.645*sd); math.Abs(high-want) > 1.5 {
			t.Errorf("%s: to day %v, want about %v", name, high, want)
		}
	}
}

// lasting are the quantiles of the day on which nothing is left.
func lasting(c *ripening.Course, asOf time.Time, spread func(day float64) float64, left func(day float64) (seen, unseen ripening.Number)) RipeBy {
	by := emptyBy(c, spread, left)
	return quantiles(len(c.Later), asOf, func(day int) float64 { return by[day] })
}

// TestLastByOrderStatistic: of n such fruit all are ripe by a day with the n-th power of the chance of one.
func TestLastByOrderStatistic(t *testing.T) {
	const days = 41.3
	asOf := time.Date(2026, 2, 8, 0, 0, 0, 0, time.UTC)
	for _, n := range []float64{1, 2, 5, 20, 201} {
		c := evenly(n, days)
		left := func(at float64) float64 { return 1 - math.Min(1, at/days) }
		r := lasting(c, asOf, func(float64) float64 { return 0 }, func(at float64) (seen, unseen ripening.Number) {
			return ripening.Number{Mean: n * left(at), Variance: n * left(at) * (1 - left(at))}, ripening.Number{}
		})
		chance := func(at time.Time, later int) float64 {
			return math.Pow(1-left(at.Sub(asOf).Hours()/24+float64(later)), n)
		}
		if chance(r.Low, 0) > 0.05 || chance(r.Low, 1) <= 0.05 || chance(r.On, 0) < 0.5 || chance(r.On, -1) >= 0.5 || chance(r.High, 0) < 0.95 || chance(r.High, -1) >= 0.95 {
			t.Errorf("%v fruit by %v, between %v and %v: chances of %v, %v and %v", n, r.On, r.Low, r.High, chance(r.On, 0), chance(r.Low, 0), chance(r.High, 0))
		}
	}
}

// TestLastByWeather: what the weather leaves open moves the last of many fruit as it moves all.
func TestLastByWeather(t *testing.T) {
	asOf := time.Date(2026, 2, 8, 0, 0, 0, 0, time.UTC)
	const n, days, sd = 2000, 40, 0.2
	r := lasting(evenly(n, days), asOf, func(float64) float64 { return sd }, func(at float64) (seen, unseen ripening.Number) {
		p := math.Min(1, at/days)
		return ripening.Number{Mean: n * (1 - p), Variance: n * p * (1 - p)}, ripening.Number{}
	})
	if low, want := r.Low.Sub(asOf).Hours()/24, days*math.Exp(-1.645*sd); math.Abs(low-want) > 2 {
		t.Errorf("from day %v, want about %v", low, want)
	}
	if high, want := r.High.Sub(asOf).Hours()/24, days*math.Exp(1.645*sd); math.Abs(high-want) > 2 {
		t.Errorf("to day %v, want about %v", high, want)
	}
}

// TestRipeByTooFarAhead: no interval reaches beyond 112 days, and no day either.
func TestRipeByTooFarAhead(t *testing.T) {
	asOf := time.Date(2026, 2, 8, 0, 0, 0, 0, time.UTC)
	if r := quantiles(112, asOf, shareBy(evenly(10, 120), reached(10, 120, most))); r.On.IsZero() || !r.Low.IsZero() || !r.High.IsZero() {
		t.Errorf("nine tenths after 108 days: %+v", r)
	}
	if r := ripeBy(&group{course: evenly(10, 150)}, most, 1, asOf); r != (RipeBy{}) {
		t.Errorf("beyond 112 days: %+v", r)
	}
	if r := lasting(evenly(10, 150), asOf, func(float64) float64 { return 0 }, func(float64) (seen, unseen ripening.Number) {
		return ripening.Number{Mean: 1, Variance: 1}, ripening.Number{}
	}); r != (RipeBy{}) {
		t.Errorf("the last beyond 112 days: %+v", r)
	}
}

// TestNone: the short way to the chance of none is that of the distribution.
func TestNone(t *testing.T) {
	for _, mean := range []float64{1e-5, 0.3, 1, 4.7, 39} {
		for _, spread := range []float64{0, 0.3, 0.9, 1, 1 + 1e-8, 1.001, 2, 9, 300} {
			n := ripening.Number{Mean: mean, Variance: mean * spread}
			if got, want := none(n), fruits(n.Mean, n.Variance).AtMost(0); math.Abs(got-want) > 1e-9 {
				t.Errorf("mean %v, variance %v: %v, by the distribution %v", n.Mean, n.Variance, got, want)
			}
		}
	}
}
