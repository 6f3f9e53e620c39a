package forecast

import (
	"math"
	"sort"
	"time"

	"gonum.org/v1/gonum/mathext"

	"vinetally/analytics/ripening"
)

// RipeBy is by when a share of a plant's fruit is ripe: when it is expected to be, and the interval at Level, in whole days from AsOf, its ends rounded outwards.
// All are zero if On is more than 70 days ahead, Low and High if High would be.
type RipeBy struct{ On, Low, High time.Time }

// ripeBy takes one of the shares of an outlook. Of n fruit whose days are alike and independent, with a chance F(d) each to be ripe by day d, the k-th is by then with
// chance I_F(k, n−k+1), the regularised incomplete beta function (David and Nagaraja, Order Statistics, 3rd ed. 2003, section 2.1). Fruit isn't alike, since
// its ages are partly known, nor is its number; so both arguments are multiplied by what makes the variance right where the share is expected, n·s(1−s) over
// that of R − s·N (ripening.Until), which is no less than that of one fruit as likely ripe as not, since fruit come in whole numbers. The weather and the
// parameters move all fruit together: the day is a multiple of what it would be without them. The interval is made to hold the expected day: of two fruit that
// ripen far apart half is expected to be ripe at last when the first is for certain.
func ripeBy(x *ripening.Outlook, which int, asOf time.Time) (r RipeBy) {
	u := &x.Until[which]
	if u.Day == 0 {
		return r
	}
	on := func(day int) time.Time { return asOf.AddDate(0, 0, day) }
	r.On = on(int(math.Ceil(u.Day)))
	n := math.Max(1, math.Round(x.Ripening))
	k := math.Ceil(u.Share*n - 1e-9)
	alike := n * u.Share * (1 - u.Share)
	sure := alike / math.Max(u.Variance, math.Min(alike, 0.25))
	spread := math.Min(math.Hypot(u.Weather, sharedDays(x, u)/math.Max(u.Day, 1)), widest)
	by := func(day int) float64 {
		chance := 0.0
		for _, z := range ripening.Normal {
			f := ripeShare(x, float64(day)*math.Exp(z.Z*spread))
			chance += z.Weight * mathext.RegIncBeta(k*sure, (n-k+1)*sure, f)
		}
		return chance
	}
	days := len(x.Later)
	high := max(int(math.Ceil(u.Day)), sort.Search(days+1, func(day int) bool { return by(day) >= (1+Level)/2 }))
	if high > days {
		return r
	}
	low := sort.Search(days+1, func(day int) bool { return by(day) > (1-Level)/2 }) - 1
	r.Low, r.High = on(max(0, min(low, int(u.Day)))), on(high)
	return r
}

// widest is the largest relative standard deviation of a day: it says that nothing is known.
const widest = 2

// ripeShare is what part of the fruit to come is expected to be ripe by a day.
func ripeShare(x *ripening.Outlook, day float64) float64 {
	d, by := int(day), x.Later
	n := by[len(by)-1]
	switch {
	case d == 0:
		n = day * by[0]
	case d < len(by):
		n = by[d-1] + (day-float64(d))*(by[d]-by[d-1])
	}
	return math.Min(1, n/x.Ripening)
}

// sharedDays is the standard deviation, in days, that the parameters leave in the day: half of the days in which what is expected goes from one
// standard deviation of the number below the share to one above, a smaller step taken for a larger one that would reach beyond what there is.
func sharedDays(x *ripening.Outlook, u *ripening.Until) float64 {
	sd := math.Sqrt(u.Unsure) / x.Ripening
	step := math.Min(sd, math.Min(u.Share, 1-u.Share)/2)
	if step <= 0 {
		return 0
	}
	return x.DaysBetween(u.Share-step, u.Share+step) / 2 * sd / step
}
