package ripetime

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Invalid says which input has no answer.
type Invalid struct{ Reason string }

func (e *Invalid) Error() string { return e.Reason }

// Between is the day a fruit turned ripe, known to lie after one look and by the next, when without the looks it would be Weibull:
//
//	P(day ≤ t) = (F(t) − F(after))/(F(by) − F(after)), F(t) = 1 − exp(−(t/scale)^shape)
type Between struct {
	after, by float64
	shape     float64
	// first and last are (after/scale)^shape and (by/scale)^shape, last kept within the range of numbers; span is between them.
	first, last, span float64
}

// TurnedBetween takes the law of the day, with distuv's K for the shape and Lambda for the scale, and the two looks: not ripe at after,
// ripe at by. An error is an *Invalid: looks that aren't in order, days before 0, a law that is none.
func TurnedBetween(law distuv.Weibull, after, by float64) (Between, error) {
	for _, x := range []float64{law.K, law.Lambda} {
		if !(x > 0) || math.IsInf(x, 1) {
			return Between{}, &Invalid{fmt.Sprintf("a Weibull law of shape %v and scale %v is none: both must be above 0", law.K, law.Lambda)}
		}
	}
	if !(after >= 0 && by > after) || math.IsInf(by, 1) {
		return Between{}, &Invalid{fmt.Sprintf("ripe by day %v and not on day %v: the first must be later, and neither below 0", by, after)}
	}
	b := Between{after: after, by: by, shape: law.K}
	// Beyond these ends the law between the looks no longer depends on the scale: it goes as t^shape, or all stands at after.
	b.last = max(1e-20, min(math.Pow(by/law.Lambda, law.K), 1e300))
	b.first = b.last * math.Pow(after/by, law.K)
	b.span = b.beyond(by)
	return b, nil
}

// beyond is (t/scale)^shape − (after/scale)^shape, for t from after to by.
func (b Between) beyond(t float64) float64 {
	return b.last * math.Pow(t/b.by, b.shape) * -math.Expm1(b.shape*math.Log(b.after/t))
}

// Before is the chance that the fruit had turned by day t.
func (b Between) Before(t float64) float64 {
	switch {
	case t <= b.after:
		return 0
	case t >= b.by:
		return 1
	}
	return min(math.Expm1(-b.beyond(t))/math.Expm1(-b.span), 1)
}

// PastRipe is the chance that more than hold days have gone since the fruit turned.
func (b Between) PastRipe(now, hold float64) float64 { return b.Before(now - hold) }

// Quantile is the day by which the fruit had turned with the chance p, from 0 to 1.
func (b Between) Quantile(p float64) float64 { return b.day(p, 1-p) }

// day of the quantile p; q is 1 − p, which near the end keeps the digits that p has lost.
func (b Between) day(p, q float64) float64 {
	z := -math.Log1p(p * math.Expm1(-b.span))
	if b.span > 1 && p > 0.5 {
		z = -math.Log(q + p*math.Exp(-b.span))
	}
	share := (b.first + z) / b.last
	return max(b.after, min(b.by*math.Pow(share, 1/b.shape), b.by))
}

// Median is the day by which the fruit had turned with a chance of a half.
func (b Between) Median() float64 { return b.Quantile(0.5) }

// Panels that shrink fourfold towards an end where a function has a branch, 16 points of Gauss and Legendre in each, take
// such a function to rounding: the error of a panel is about 3⁻³² of it (Trefethen 2008, SIAM Review 50:67–87, theorem 4.5;
// reference from memory). The last panel reaches the end, and is so short that its own error doesn't count.
const (
	panels = 24
	points = 16
)

var node, weight = func() (x, w []float64) {
	x, w = make([]float64, points), make([]float64, points)
	quad.Legendre{}.FixedLocations(x, w, 0, 1)
	return x, w
}()

// Mean is the expected day, the integral of Quantile over p from 0 to 1.
func (b Between) Mean() float64 {
	sum := 0.0
	for high, i := 0.5, 0; i < panels; i++ {
		low := high / 4
		if i == panels-1 {
			low = 0
		}
		for k, x := range node {
			p := low + (high-low)*x
			sum += weight[k] * (high - low) * (b.day(p, 1-p) + b.day(1-p, p) - 2*b.after)
		}
		high = low
	}
	return b.after + sum
}
