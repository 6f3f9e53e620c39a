package forecast

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/ripening"
)

// evenly is an outlook of n fruit that ripen independently, each on any of so many days.
func evenly(n, days float64, which int) *ripening.Outlook {
	x := &ripening.Outlook{Ripening: n}
	for d := range 70 {
		x.Later = append(x.Later, n*math.Min(1, float64(d+1)/days))
	}
	share := ripening.Shares[which]
	x.Until[which] = ripening.Until{Share: share, Day: share * days, Variance: n * share * (1 - share)}
	return x
}

// TestRipeByOrderStatistic: where nothing is unsure but which fruit ripens first, the chance that k of n are ripe by a day is that of a binomial number of k or
// more (Abramowitz and Stegun 1964, 26.5.24; by gonum's binomial distribution), and the interval's ends are the days about it.
func TestRipeByOrderStatistic(t *testing.T) {
	const days = 41.3
	asOf := time.Date(2026, 2, 8, 0, 0, 0, 0, time.UTC)
	for _, n := range []float64{1, 2, 5, 20, 201} {
		for which, share := range ripening.Shares {
			r := ripeBy(evenly(n, days, which), which, asOf)
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
	for name, set := range map[string]func(*ripening.Until){
		"weather":    func(u *ripening.Until) { u.Weather = sd },
		"parameters": func(u *ripening.Until) { u.Unsure = math.Pow(sd*u.Day*n/60, 2) }, // n/60 ripen a day
	} {
		x := evenly(n, 60, 0)
		set(&x.Until[0])
		r := ripeBy(x, 0, asOf)
		low, high := r.Low.Sub(asOf).Hours()/24, r.High.Sub(asOf).Hours()/24
		if want := 30 * math.Exp(-1.645*sd); math.Abs(low-want) > 1.5 {
			t.Errorf("%s: from day %v, want about %v", name, low, want)
		}
		if want := 30 * math.Exp(1.645*sd); math.Abs(high-want) > 1.5 {
			t.Errorf("%s: to day %v, want about %v", name, high, want)
		}
	}
}

// TestRipeByTooFarAhead: no interval reaches beyond 70 days, and no day either.
func TestRipeByTooFarAhead(t *testing.T) {
	asOf := time.Date(2026, 2, 8, 0, 0, 0, 0, time.UTC)
	x := evenly(10, 75, 1)
	if r := ripeBy(x, 1, asOf); r.On.IsZero() || !r.Low.IsZero() || !r.High.IsZero() {
		t.Errorf("nine tenths after 67.5 days: %+v", r)
	}
	x.Until[1].Day = 0
	if r := ripeBy(x, 1, asOf); r != (RipeBy{}) {
		t.Errorf("beyond 70 days: %+v", r)
	}
}
