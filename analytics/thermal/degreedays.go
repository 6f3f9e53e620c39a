package thermal

import (
	"fmt"
	"math"
)

// Thresholds are the temperatures, in any one unit, between which degree-days count. An Upper of +Inf is none.
//
// The cut-off at Upper is horizontal: above it development goes on as at Upper.
type Thresholds struct{ Lower, Upper float64 }

// Check tells what is wrong with thresholds.
func (t Thresholds) Check() error {
	if math.IsNaN(t.Lower) || math.IsInf(t.Lower, 0) || math.IsNaN(t.Upper) || t.Upper <= t.Lower {
		return fmt.Errorf("thresholds of %v and %v: the lower must be a number and the upper above it", t.Lower, t.Upper)
	}
	return nil
}

// clip moves a temperature into the thresholds and returns its distance above the lower.
func (t Thresholds) clip(temperature float64) float64 {
	return min(max(temperature, t.Lower), t.Upper) - t.Lower
}

// Method works out the degree-days of one day from its lowest and highest temperature.
type Method func(t Thresholds, lowest, highest float64) float64

// FlooredMean is max(0, (lowest+highest)/2 − Lower); Upper isn't used.
func FlooredMean(t Thresholds, lowest, highest float64) float64 {
	return max(0, (lowest+highest)/2-t.Lower)
}

// CappedMean is FlooredMean with what is above Upper lowered to it first.
func CappedMean(t Thresholds, lowest, highest float64) float64 {
	return max(0, (min(lowest, t.Upper)+min(highest, t.Upper))/2-t.Lower)
}

// ClippedMean moves both temperatures into the thresholds before it takes their mean (the modified method).
func ClippedMean(t Thresholds, lowest, highest float64) float64 {
	return (t.clip(lowest) + t.clip(highest)) / 2
}

// Triangle takes the day as one straight rise from the lowest to the highest temperature and back (Lindsey and Newman 1956,
// Ecology 37:812–823), cut off horizontally at Upper.
func Triangle(t Thresholds, lowest, highest float64) float64 {
	above := func(threshold float64) float64 { // mean height of the day above a threshold
		switch {
		case lowest >= threshold:
			return (lowest+highest)/2 - threshold
		case highest <= threshold:
			return 0
		default:
			return (highest - threshold) * (highest - threshold) / (2 * (highest - lowest))
		}
	}
	return above(t.Lower) - above(t.Upper)
}

// Sine takes the day as one sine wave between the two temperatures (Baskerville and Emin 1969, Ecology 50:514–517), cut
// off horizontally at Upper.
func Sine(t Thresholds, lowest, highest float64) float64 {
	return sineAbove(t.Lower, lowest, highest) - sineAbove(t.Upper, lowest, highest)
}

// SineStopping is Sine with a vertical cut-off: while it is hotter than Upper nothing counts.
func SineStopping(t Thresholds, lowest, highest float64) float64 {
	above := 1.0 // share of the day above Upper
	switch {
	case highest <= t.Upper:
		above = 0
	case lowest < t.Upper:
		above = 0.5 - math.Asin((t.Upper-(lowest+highest)/2)/((highest-lowest)/2))/math.Pi
	}
	if above == 0 {
		return Sine(t, lowest, highest)
	}
	return Sine(t, lowest, highest) - (t.Upper-t.Lower)*above
}

// sineAbove is the mean height of a sine wave above a threshold: with amplitude α, mean m and θ = asin((threshold−m)/α),
//
//	((m − threshold)·(π/2 − θ) + α·cos θ) / π.
func sineAbove(threshold, lowest, highest float64) float64 {
	m, alpha := (lowest+highest)/2, (highest-lowest)/2
	switch {
	case lowest >= threshold:
		return m - threshold
	case highest <= threshold:
		return 0
	}
	theta := math.Asin((threshold - m) / alpha)
	return ((m-threshold)*(math.Pi/2-theta) + alpha*math.Cos(theta)) / math.Pi
}

// DegreeDays adds up days given by their lowest and highest temperature; sums[i] is the total after day i.
func DegreeDays(t Thresholds, method Method, lowest, highest []float64) (sums []float64, err error) {
	if err := t.Check(); err != nil {
		return nil, err
	}
	if len(lowest) != len(highest) {
		return nil, fmt.Errorf("%d lowest and %d highest temperatures; give one of each a day", len(lowest), len(highest))
	}
	sums = make([]float64, len(lowest))
	total := 0.0
	for i := range lowest {
		if !(lowest[i] <= highest[i]) {
			return nil, fmt.Errorf("day %d: the lowest temperature, %v, is not at most the highest, %v", i+1, lowest[i], highest[i])
		}
		total += method(t, lowest[i], highest[i])
		sums[i] = total
	}
	return sums, nil
}

// Reached returns the time, in days from the start of the first, at which sums come up to a target, the last day taken as
// even. ok is false if they don't.
func Reached(sums []float64, target float64) (days float64, ok bool) {
	before := 0.0
	for i, sum := range sums {
		if sum >= target {
			if sum == before {
				return float64(i), true
			}
			return float64(i) + (target-before)/(sum-before), true
		}
		before = sum
	}
	return 0, false
}
