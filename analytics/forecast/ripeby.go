package forecast

import (
	"math"
	"sort"
	"time"

	"gonum.org/v1/gonum/mathext"

	"vinetally/analytics/ripening"
)

// RipeBy is by when a share of some fruit is ripe: the median, and the interval at Level, in whole days from AsOf, its ends rounded outwards.
// All are zero if On is more than 112 days ahead, Low and High if High would be.
type RipeBy struct{ On, Low, High time.Time }

// ripeBy is by when a share of what is to come is ripe; no likelier by a day than that as many are newly ripe as the share is of the fewest that may be to come.
func ripeBy(g *group, share float64, fewest int, asOf time.Time) (r RipeBy) {
	c := g.course
	day := c.Day(share)
	if day == 0 {
		return r
	}
	by := shareBy(c, momentOf(c, day, share))
	least := max(1, int(math.Ceil(share*float64(fewest)-1e-9)))
	return quantiles(len(c.Later), asOf, func(day int) float64 { return min(by(day), g.newly(day, least)) })
}

// newly is the chance that so many are newly ripe by a day ahead; one beyond the days that numbers are known of.
func (g *group) newly(day, fruits int) float64 {
	switch {
	case day == 0:
		return 0
	case day > MostDays:
		return 1
	}
	return 1 - g.days[day-1].Distribution.AtMost(fruits-1)
}

// firstBy is by when any of it is ripe: by the numbers of the days ahead as far as they go, then as ripeBy has it of one of all.
func firstBy(g *group, asOf time.Time) RipeBy {
	c := g.course
	soon := g.newly(MostDays, 1)
	share := math.Min(half, 1/math.Max(1, math.Round(c.Ripening.Mean)))
	day := c.Day(share)
	if soon >= (1+Level)/2 || day == 0 {
		return quantiles(MostDays, asOf, func(day int) float64 { return g.newly(day, 1) })
	}
	beyond := shareBy(c, momentOf(c, day, share))
	return quantiles(len(c.Later), asOf, func(day int) float64 {
		if day <= MostDays {
			return g.newly(day, 1)
		}
		return max(soon, beyond(day))
	})
}

// moment is the day on which a share is expected to be ripe, the variance that chance and the parameters leave there in R − share·N, and the relative standard
// deviation of what the clocks count up to it (see ripening.Course).
type moment struct{ share, day, chance, unsure, weather float64 }

func momentOf(c *ripening.Course, day, share float64) moment {
	chance, unsure := c.Variance(day, share)
	return moment{share, day, chance, unsure, c.Weather(day)}
}

// shareBy is the chance that the share of a moment is ripe by each day. Of n fruit whose days are alike and independent, with a chance F(d) each to be
// ripe by day d, the k-th is by then with chance I_F(k, n−k+1), the regularised incomplete beta function (David and Nagaraja, Order Statistics, 3rd ed.
// 2003, section 2.1). Fruit isn't alike, since its ages are partly known, nor is its number; so both arguments are multiplied by what makes the variance
// right where the share is expected, n·s(1−s) over that of R − s·N, which is no less than that of one fruit as likely ripe as not, since fruit come in
// whole numbers; and the first is one at least, or as much would be ripe with a good chance as soon as any may be. The weather and the parameters move
// all fruit together: the day is a multiple of what it would be without them.
func shareBy(c *ripening.Course, m moment) func(day int) float64 {
	n := math.Max(1, math.Round(c.Ripening.Mean))
	k := math.Ceil(m.share*n - 1e-9)
	alike := n * m.share * (1 - m.share)
	sure := math.Max(alike/math.Max(m.chance, math.Min(alike, 0.25)), 1/k)
	a, b := k*sure, (n-k+1)*sure
	spread := math.Min(math.Hypot(m.weather, sharedDays(c, m.share, math.Sqrt(m.unsure))/math.Max(m.day, 1)), widest)
	return func(day int) float64 {
		p := 0.0
		for _, z := range ripening.Normal {
			f := math.Min(1, c.By(float64(day)*math.Exp(z.Z*spread))/c.Ripening.Mean)
			p += z.Weight * mathext.RegIncBeta(a, b, f)
		}
		return p
	}
}

// lastBy is by when all of what is to come is ripe; no likelier by a day than that any is newly ripe.
func lastBy(g *group, asOf time.Time) (r RipeBy) {
	c := g.course
	day := c.Day(most)
	if day == 0 {
		return r
	}
	_, unsure := c.Variance(day, most)
	shared := sharedDays(c, most, math.Sqrt(unsure)) / math.Max(day, 1)
	by := emptyBy(c, func(day float64) float64 { return math.Min(math.Hypot(c.Weather(day), shared), widest) }, c.Left)
	return quantiles(len(c.Later), asOf, func(day int) float64 { return min(by[day], g.newly(day, 1)) })
}

// emptyBy is the chance, by each day, that nothing is left to ripen, given that anything is to come. What is left on a day, N − R, is none with the chance
// that numbers of fruit of the means and variances of its two parts are. The weather and the parameters move all fruit together, and so the day, by a
// relative standard deviation. What is none stays none: matched to mean and variance, the chance alone might fall a little where only unseen fruit is
// left.
func emptyBy(c *ripening.Course, spread func(day float64) float64, left func(day float64) (seen, unseen ripening.Number)) []float64 {
	empty := func(day float64) float64 {
		seen, unseen := left(day)
		return none(seen) * none(unseen)
	}
	nothing, days := empty(0), len(c.Later)
	by := make([]float64, days+1)
	for day := range by {
		p := 0.0
		for _, z := range ripening.Normal {
			p += z.Weight * empty(math.Min(float64(day)*math.Exp(z.Z*spread(float64(day))), float64(days)))
		}
		by[day] = max(by[max(0, day-1)], (p-nothing)/(1-nothing))
	}
	return by
}

// none is the chance that a number of fruit is none: (m/v)^(m²/(v − m)) of a negative binomial number, e^−m of a Poisson one, and where it varies less, and may not
// be so many that it is never, that of its distribution.
func none(n ripening.Number) float64 {
	m, v := math.Max(leastLeft, n.Mean), n.Variance
	const never = 40
	switch {
	case v > m*(1+1e-9):
		return math.Exp(-m * m / (v - m) * math.Log(v/m))
	case v >= m:
		return math.Exp(-m)
	case m > never:
		return 0
	}
	return fruits(m, v).AtMost(0)
}

// leastLeft is the fewest fruit that are expected to be left.
const leastLeft = 1e-6

// quantiles are the median and the interval of a day from the chance by each day of so many, which never falls.
func quantiles(days int, asOf time.Time, by func(day int) float64) (r RipeBy) {
	first := func(chance float64) int {
		return sort.Search(days+1, func(day int) bool { return by(day) >= chance })
	}
	on := first(0.5)
	if on > days {
		return r
	}
	r.On = asOf.AddDate(0, 0, on)
	high := first((1 + Level) / 2)
	if high > days {
		return r
	}
	low := sort.Search(days+1, func(day int) bool { return by(day) > (1-Level)/2 }) - 1
	r.Low, r.High = asOf.AddDate(0, 0, max(0, low)), asOf.AddDate(0, 0, high)
	return r
}

// notBefore puts days where another's are if they would be sooner, and leaves open what it leaves open: what holds all of it is ripe no sooner than a part.
func (r *RipeBy) notBefore(part RipeBy) {
	if r.On.IsZero() || part.On.IsZero() {
		*r = RipeBy{}
		return
	}
	r.On = later(r.On, part.On)
	if r.Low.IsZero() || part.Low.IsZero() {
		r.Low, r.High = time.Time{}, time.Time{}
		return
	}
	r.Low, r.High = later(r.Low, part.Low), later(r.High, part.High)
}

// notAfter puts days where another's are if they would be later, or left open.
func (r *RipeBy) notAfter(all RipeBy) {
	switch {
	case all.On.IsZero():
	case r.On.IsZero():
		*r = all
	default:
		r.On = sooner(r.On, all.On)
		switch {
		case all.Low.IsZero():
		case r.Low.IsZero():
			r.Low, r.High = sooner(r.On, all.Low), all.High
		default:
			r.Low, r.High = sooner(r.Low, all.Low), sooner(r.High, all.High)
		}
	}
}

func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

func sooner(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

// widest is the largest relative standard deviation of a day: it says that nothing is known.
const widest = 2

// sharedDays is the standard deviation, in days, that the parameters leave in the day on which a share is ripe, from that of the number: half of the days in
// which what is expected goes from one standard deviation below the share to one above, a smaller step taken for a larger one that would reach beyond what there is.
func sharedDays(c *ripening.Course, share, sd float64) float64 {
	sd /= c.Ripening.Mean
	step := math.Min(sd, math.Min(share, 1-share)/2)
	if step <= 0 {
		return 0
	}
	return c.DaysBetween(share-step, share+step) / 2 * sd / step
}
