package sampling

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Refusal says in words why there is no estimate.
type Refusal struct{ Reason string }

func (e *Refusal) Error() string { return e.Reason }

func refuse(format string, args ...any) error { return &Refusal{fmt.Sprintf(format, args...)} }

// Total is an estimated total with its standard error.
type Total struct {
	Estimate, SE float64
	// DF is the degrees of freedom that the interval uses.
	DF float64
}

// Interval is Estimate ± t·SE at a level, with Student's t on DF degrees of freedom. It may reach below what was seen; whoever
// knows that cuts it there.
func (t Total) Interval(level float64) (low, high float64) {
	if t.SE == 0 {
		return t.Estimate, t.Estimate
	}
	half := t.SE * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: t.DF}.Quantile(1-(1-level)/2)
	return t.Estimate - half, t.Estimate + half
}

// Simple is a simple random sample: y of n units out of N.
type Simple struct {
	Total
	N        int
	Counted  int
	Mean     float64
	Variance float64 // of the units, n−1 in the divisor
}

// SimpleTotal expands the mean of the units that were counted to all N:
//
//	T = N·ȳ,  se = N·√((1 − n/N)·s²/n),  on n − 1 degrees of freedom.
//
// One unit counted of several carries no variance, and is refused.
func SimpleTotal(y []float64, n int) (Simple, error) {
	switch {
	case len(y) == 0:
		return Simple{}, refuse("nothing was counted")
	case n < len(y):
		return Simple{}, refuse("%d were counted, more than the %d that there are", len(y), n)
	case len(y) == 1 && n > 1:
		return Simple{}, refuse("one was counted of %d; with two or more an interval could be given", n)
	}
	s := Simple{N: n, Counted: len(y), Mean: stat.Mean(y, nil)}
	if len(y) > 1 {
		s.Variance = stat.Variance(y, nil)
	}
	s.Total = Total{float64(n) * s.Mean, float64(n) * s.meanError(true), float64(len(y) - 1)}
	return s, nil
}

func (s Simple) meanError(finite bool) float64 {
	v := s.Variance / float64(s.Counted)
	if finite {
		v *= 1 - float64(s.Counted)/float64(s.N)
	}
	return math.Sqrt(v)
}

// MeanSE is the standard error of the mean, finite population correction and all.
func (s Simple) MeanSE() float64 { return s.meanError(true) }

// SEUncorrected is that of the total as if there were no end of units.
func (s Simple) SEUncorrected() float64 { return float64(s.N) * s.meanError(false) }

// ClusterTotal takes whole clusters, such as plants with all their trusses, drawn from so many clusters: a simple random sample of their
// totals.
func ClusterTotal(totals []float64, clusters int) (Total, error) {
	s, err := SimpleTotal(totals, clusters)
	return s.Total, err
}
