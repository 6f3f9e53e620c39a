package simulate

import (
	"math"
	"math/rand/v2"
)

// Response is how fast a phase goes at a temperature, relative to 20 °C: the beta function of Yin, Kropff, McLaren and Visperas
// (1995, Agric. For. Meteorol. 77:1–16), zero at Base and Ceiling and fastest at the Optimum (all in °C), raised to a Power.
type Response struct{ Base, Optimum, Ceiling, Power float64 }

func (r Response) raw(t float64) float64 {
	if t <= r.Base || t >= r.Ceiling {
		return 0
	}
	up := (t - r.Base) / (r.Optimum - r.Base)
	down := (r.Ceiling - t) / (r.Ceiling - r.Optimum)
	return math.Pow(up*math.Pow(down, (r.Ceiling-r.Optimum)/(r.Optimum-r.Base)), r.Power)
}

// At is the rate at an air temperature in °C, which is 1 at 20 °C.
func (r Response) At(t float64) float64 { return r.raw(t) / r.raw(20) }

// The two phases answer near the published tables, each cultivar in its own way. Growing: of the rate at 20 °C 0.48, 0.84, 1.14 and 1.34 at
// 14, 18, 22 and 26 °C (Adams, Cockshull and Cave 2001 have 0.56, 0.82, 1.16 and 1.27). Colouring: 0.46 at 12.5 and 1.31 at
// 25 °C (the table of detached fruit 0.5 and 1.6).
var (
	usualGrowing   = Response{Base: 7.5, Optimum: 29, Ceiling: 40, Power: 1.4}
	usualColouring = Response{Base: 1, Optimum: 30, Ceiling: 40, Power: 2}
)

// draw moves base, optimum and ceiling each by a normal deviate of 1 °C.
func (r Response) draw(rng *rand.Rand) Response {
	return Response{r.Base + rng.NormFloat64(), r.Optimum + rng.NormFloat64(), r.Ceiling + rng.NormFloat64(), r.Power}
}
