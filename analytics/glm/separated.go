package glm

import (
	"math"

	"vinetally/analytics/posdef"
)

var errSeparated = refuse("a coefficient has no end: a line or a group separates what happened from what didn't completely; " +
	"more observations between are needed, or fewer columns")

// farthest is how far from 0 a linear predictor is let to go: beyond it a share is 0 or 1 to the last digit that counts.
const farthest = 30

// separated tells whether every share has been driven to 0 or 1.
func (d Data) separated(eta []float64) bool {
	for i := range eta {
		if d.Trials[i] > 0 && math.Abs(eta[i]) < farthest {
			return false
		}
	}
	return true
}

// endless tells whether the linear predictor of an observation has an error so large that it goes to infinity by small steps, as
// where nothing happened in one group alone (Albert and Anderson 1984, Biometrika 71:1–10).
func (d Data) endless(covariance [][]float64) bool {
	const far = 1e3 // a share is told from 0 or 1 only within 30 of 0
	for i, x := range d.X {
		if d.Trials != nil && d.Trials[i] == 0 {
			continue
		}
		if !(posdef.Quadratic(covariance, x) < far*far) {
			return true
		}
	}
	return false
}
