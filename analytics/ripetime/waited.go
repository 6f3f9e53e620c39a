package ripetime

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// outOfSight is the chance of so long a wait below which floating point loses the chances of still longer ones.
const outOfSight = 1e-280

// Within is the chance that a fruit leaves its stage within so many days ahead, when it has waited in it for some already and the
// time in the stage is gamma:
//
//	1 − S(waited + ahead)/S(waited), S(t) = Γ(shape, t·rate)/Γ(shape)
//
// It is 0 for nothing ahead, and never NaN: waits that the law all but rules out go by Γ(s, x) ≈ xˢ·e⁻ˣ/(x + 1 − s), the beginning of
// the continued fraction 8.9.2 of the NIST Digital Library of Mathematical Functions, which is there within one part in a thousand.
func Within(stay distuv.Gamma, waited, ahead float64) float64 {
	waited, ahead = max(waited, 0), max(ahead, 0)
	left := stay.Survival(waited)
	if left < outOfSight {
		x, y := waited*stay.Beta, (waited+ahead)*stay.Beta
		log := stay.Alpha*math.Log(y/x) - ahead*stay.Beta - math.Log((y+1-stay.Alpha)/(x+1-stay.Alpha))
		return max(0, -math.Expm1(log))
	}
	var gone float64
	if left > 0.5 { // the small one of two numbers is the accurate one
		gone = stay.CDF(waited+ahead) - stay.CDF(waited)
	} else {
		gone = left - stay.Survival(waited+ahead)
	}
	return max(0, min(gone/left, 1))
}
