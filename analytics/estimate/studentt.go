package estimate

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// studentT returns t with P(|T| ≤ t) = level for Student's distribution, the quantile of (1+level)/2.
//
// With x = df/(df+t²), P(|T| > t) is the regularised incomplete beta function I_x(df/2, 1/2) (Abramowitz and Stegun 1964,
// 26.7.1), which gonum inverts. Accuracy: 1e-14 where it was compared with a Newton step from its answer, df 1 to 51 and
// levels 0.5 to 0.999999.
func studentT(level, df float64) float64 {
	x := mathext.InvRegIncBeta(df/2, 0.5, 1-level)
	return math.Sqrt(df * (1 - x) / x)
}
