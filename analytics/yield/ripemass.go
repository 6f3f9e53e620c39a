package yield

import (
	"math"

	"vinetally/analytics/crop"
)

// RipeMass returns the mean mass of a ripe marketable fruit of a cultivar, g, with its standard error √(s²/Σ n_i), s² being the variance of
// one fruit's mass as Weights has it. It is false of fewer than two weighings, which tell no error.
func (w *Weights) RipeMass(cultivar crop.ID, scale *crop.Scale) (meanG, standardError float64, ok bool) {
	x := w.byStage[weightKey{cultivar, scale.RipeStage, crop.Date{}}]
	if x == nil || len(x.mass) < leastWeighings {
		return 0, 0, false
	}
	mean, variance, fruits := x.stats()
	return mean, math.Sqrt(variance / fruits), true
}
