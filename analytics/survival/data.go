package survival

import (
	"fmt"
	"math"
)

// Refusal says in words why there is no estimate.
type Refusal struct{ Reason string }

func (e *Refusal) Error() string { return e.Reason }

func refuse(format string, args ...any) error { return &Refusal{fmt.Sprintf(format, args...)} }

// Interval is one observation, or Weight alike.
type Interval struct {
	Left, Right float64
	Weight      float64
	X           []float64 // covariates beside the intercept
}

func check(data []Interval) error {
	if len(data) == 0 {
		return refuse("there is no observation")
	}
	for i, o := range data {
		switch {
		case !(o.Left >= 0) || math.IsInf(o.Left, 1) || !(o.Right >= o.Left) || o.Right == 0:
			return refuse("observation %d lies in (%v, %v], which is no stretch of time from 0 on", i+1, o.Left, o.Right)
		case !(o.Weight >= 0) || math.IsInf(o.Weight, 1):
			return refuse("observation %d has a weight of %v", i+1, o.Weight)
		case len(o.X) != len(data[0].X):
			return refuse("observation %d has %d covariates and not %d", i+1, len(o.X), len(data[0].X))
		}
	}
	return nil
}
