package sampling

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Ratio is a total from a known total of something that goes with it, such as the length of the trusses.
type Ratio struct {
	Total
	Ratio, RatioSE float64
	// SEByPopulationMean puts the known mean of x into the error in place of the sample's.
	SEByPopulationMean float64
	// Expansion is the total without x.
	Expansion   Total
	Correlation float64 // of y and x; 0 where one of them doesn't vary
}

// RatioTotal estimates the total of y over N units from that of x, which is known:
//
//	R = Σy/Σx,  T = R·X,  se(R) = √((1 − n/N)·s_d²/n)/x̄  with d = y − R·x
//
// (Cochran 1977, section 6.4; linearised). It has a bias that goes with 1/n, and helps where y runs with x through the origin.
func RatioTotal(y, x []float64, n int, totalX float64) (Ratio, error) {
	if len(y) != len(x) {
		return Ratio{}, refuse("y has %d values and x %d", len(y), len(x))
	}
	expansion, err := SimpleTotal(y, n)
	if err != nil {
		return Ratio{}, err
	}
	meanX := stat.Mean(x, nil)
	if !(meanX > 0) || !(totalX > 0) {
		return Ratio{}, refuse("x must add up to more than nothing")
	}
	r := Ratio{Expansion: expansion.Total, Ratio: expansion.Mean / meanX}
	d := make([]float64, len(y))
	sum := 0.0
	for i := range y {
		d[i] = y[i] - r.Ratio*x[i]
		sum += d[i] * d[i]
	}
	error := 0.0
	if len(y) > 1 {
		error = math.Sqrt((1 - float64(len(y))/float64(n)) * sum / float64(len(y)-1) / float64(len(y)))
		if c := stat.Correlation(x, y, nil); !math.IsNaN(c) {
			r.Correlation = c
		}
	}
	r.RatioSE = error / meanX
	r.Total = Total{r.Ratio * totalX, r.RatioSE * totalX, expansion.DF}
	r.SEByPopulationMean = error * float64(n)
	return r, nil
}
