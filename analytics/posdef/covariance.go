package posdef

import "math"

// Quadratic is xᵀ·a·x, for a of p × p and x of p: the variance of x·β by the covariance a of β.
func Quadratic(a [][]float64, x []float64) float64 {
	sum := 0.0
	for j, u := range x {
		for k, v := range x {
			sum += u * a[j][k] * v
		}
	}
	return sum
}

// StandardErrors are the square roots of a covariance's diagonal.
func StandardErrors(covariance [][]float64) []float64 {
	se := make([]float64, len(covariance))
	for j := range se {
		se[j] = math.Sqrt(covariance[j][j])
	}
	return se
}
