package yield

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Level is the level of the intervals of this package.
const Level = 0.90

// Interval is a number with its interval at Level; Low and High are nil where none can be given.
type Interval struct {
	Value     float64
	Low, High *float64
	N         int // how many it rests on
}

// meanOf is the mean over plants, with Student's t on n − 1 degrees of freedom; nil of none. Plants that are all alike give no interval.
func meanOf(values []float64) *Interval {
	n := len(values)
	if n == 0 {
		return nil
	}
	mean, sd := stat.MeanStdDev(values, nil)
	i := &Interval{Value: mean, N: n}
	if n < 2 || sd == 0 { // plants picked on one day have one number; that they differ by nothing isn't known from it
		return i
	}
	half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 1)}.Quantile(0.5+Level/2) * sd / math.Sqrt(float64(n))
	i.Low, i.High = new(mean-half), new(mean+half)
	return i
}

// within keeps the ends of an interval where the number can be.
func (i *Interval) within(low, high float64) *Interval {
	if i != nil && i.Low != nil {
		*i.Low, *i.High = math.Max(*i.Low, low), math.Min(*i.High, high)
	}
	return i
}
