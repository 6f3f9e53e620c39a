package stagefrequency

import (
	"math"

	"vinetally/analytics/ordinal"
)

// Passed is the time at which the share p of the fruit has passed a cut, with its standard error by the delta method. At 0.5 and with a symmetric
// link it is A of the cut.
//
// It solves θ_j − β·t = q·σ(t) for q = F⁻¹(1 − p), with σ = √t or 1.
func (f *Fit) Passed(cut int, p float64) (ordinal.Crossing, error) {
	if cut < 0 || cut >= len(f.Cuts) || !(p > 0 && p < 1) {
		return ordinal.Crossing{}, refuse("cut %d of %d and the share %v: there is no such passage", cut+1, len(f.Cuts), p)
	}
	cuts := len(f.Cuts)
	theta, beta, q := f.Linear.Coef[cut], f.Linear.Coef[cuts], f.Linear.Link.Inverse(1-p)
	t, turn := (theta-q)/beta, 0.0 // turn is q·σ′(t)
	if f.Variance == Proportional {
		inside := q*q + 4*beta*theta
		root := (math.Sqrt(max(inside, 0)) - q) / (2 * beta) // √t
		if !(inside >= 0 && root > 0) {
			return ordinal.Crossing{}, refuse("a share of %v has passed %s before the times begin", p, f.Cuts[cut])
		}
		t, turn = root*root, q/(2*root)
	}
	v := f.Linear.Observed
	variance := v[cut][cut] - 2*t*v[cut][cuts] + t*t*v[cuts][cuts]
	return ordinal.Crossing{At: t, SE: math.Sqrt(max(variance, 0)) / math.Abs(beta+turn)}, nil
}
