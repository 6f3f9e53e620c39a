package simulate

import (
	"math"
	"math/rand/v2"
)

// response is how fast a phase goes at a temperature, relative to 20 °C: the beta function of Yin, Kropff, McLaren and Visperas
// (1995, Agric. For. Meteorol. 77:1–16), zero at base and ceiling and fastest at the optimum, raised to a power.
type response struct{ base, optimum, ceiling, power float64 }

func (r response) raw(t float64) float64 {
	if t <= r.base || t >= r.ceiling {
		return 0
	}
	up := (t - r.base) / (r.optimum - r.base)
	down := (r.ceiling - t) / (r.ceiling - r.optimum)
	return math.Pow(up*math.Pow(down, (r.ceiling-r.optimum)/(r.optimum-r.base)), r.power)
}

func (r response) at(t float64) float64 { return r.raw(t) / r.raw(20) }

// The two phases answer near the published tables, each cultivar in its own way. Growing: of the rate at 20 °C 0.48, 0.84, 1.14 and 1.34 at
// 14, 18, 22 and 26 °C (Adams, Cockshull and Cave 2001 have 0.56, 0.82, 1.16 and 1.27). Colouring: 0.46 at 12.5 and 1.31 at
// 25 °C (the table of detached fruit 0.5 and 1.6).
func drawGrowing(rng *rand.Rand) response {
	return response{7.5 + rng.NormFloat64(), 29 + rng.NormFloat64(), 40 + rng.NormFloat64(), 1.4}
}

func drawColouring(rng *rand.Rand) response {
	return response{1 + rng.NormFloat64(), 30 + rng.NormFloat64(), 40 + rng.NormFloat64(), 2}
}

// clock adds up a response over hourly temperatures: count[h] is the standard days from the start to hour h.
func clock(r response, air []float64) []float64 {
	count := make([]float64, len(air))
	for h := 1; h < len(air); h++ {
		count[h] = count[h-1] + (r.at(air[h-1])+r.at(air[h]))/2/hoursADay
	}
	return count
}

// hourAt is the time in hours at which a clock shows count, or +Inf if it doesn't before its end.
func hourAt(clock []float64, count float64) float64 {
	lo, hi := 0, len(clock)-1
	if count > clock[hi] {
		return math.Inf(1)
	}
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; clock[mid] < count {
			lo = mid
		} else {
			hi = mid
		}
	}
	if clock[hi] == clock[lo] {
		return float64(hi)
	}
	return float64(lo) + (count-clock[lo])/(clock[hi]-clock[lo])
}

// Count is a clock's count at a time in hours.
func Count(clock []float64, hour float64) float64 {
	if hour <= 0 {
		return 0
	}
	i := int(hour)
	if i >= len(clock)-1 {
		return clock[len(clock)-1]
	}
	return clock[i] + (hour-float64(i))*(clock[i+1]-clock[i])
}
