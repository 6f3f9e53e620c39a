package simulate

import "math"

// Clock adds up a response over the air temperature in °C at each hour: count[h] is the days at 20 °C that have passed by hour h.
func Clock(r Response, air []float64) (count []float64) {
	count = make([]float64, len(air))
	for h := 1; h < len(air); h++ {
		count[h] = count[h-1] + (r.At(air[h-1])+r.At(air[h]))/2/hoursADay
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
