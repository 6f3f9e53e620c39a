package estimate

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// studentT returns t with P(|T| ≤ t) = level for Student's distribution, the quantile of (1+level)/2.
//
// With x = df/(df+t²), P(|T| > t) is the regularised incomplete beta function I_x(df/2, 1/2) (Abramowitz and Stegun 1964,
// 26.7.1). gonum inverts it to about 8 digits; two Newton steps take it to rounding level.
func studentT(level, df float64) float64 {
	a, b := df/2, 0.5
	outside := 1 - level
	x := mathext.InvRegIncBeta(a, b, outside)
	lga, _ := math.Lgamma(a)
	lgb, _ := math.Lgamma(b)
	lgab, _ := math.Lgamma(a + b)
	for range 2 {
		slope := math.Exp((a-1)*math.Log(x) + (b-1)*math.Log1p(-x) + lgab - lga - lgb)
		next := x - (mathext.RegIncBeta(a, b, x)-outside)/slope
		if !(next > 0 && next < 1) {
			break
		}
		x = next
	}
	return math.Sqrt(df * (1 - x) / x)
}
