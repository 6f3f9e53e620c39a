package ripening

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// survival is the chance that a gamma time with mean 1 and a coefficient of variation is longer than x, on a grid, straight between
// the grid's points.
type survival struct {
	perUnit float64 // grid points in 1
	begins  float64 // before that hardly anything has happened
	value   []float64
	slope   float64 // of the logarithm beyond the end
}

const (
	stepsPerDeviation = 16 // grid points in a standard deviation at which the function is worked out
	finer             = 2  // points between which the logarithm is taken as straight
	longestDeviations = 7  // the grid ends so many standard deviations above the mean
	firstDeviations   = 5
)

func newSurvival(cv float64) *survival {
	k := 1 / (cv * cv)
	step := cv / stepsPerDeviation
	s := &survival{perUnit: finer / step, begins: math.Max(0, 1-firstDeviations*cv)}
	n := int(math.Ceil((1+longestDeviations*cv)/step)) + 1
	s.value = make([]float64, finer*(n-1)+1)
	before := 0.0
	for i := range n {
		at := 0.0
		if x := float64(i) * step; x > s.begins {
			at = math.Log(mathext.GammaIncRegComp(k, k*x))
		}
		if i > 0 {
			for j := 1; j < finer; j++ {
				s.value[finer*(i-1)+j] = math.Exp(before + (at-before)*float64(j)/finer)
			}
		}
		s.value[finer*i] = math.Exp(at)
		s.slope = (at - before) / step
		before = at
	}
	return s
}

// ends is where the grid does.
func (s *survival) ends() float64 { return float64(len(s.value)-1) / s.perUnit }

// at is the survival to x times the mean.
func (s *survival) at(x float64) float64 { return s.onGrid(x * s.perUnit) }

// onGrid is the survival to a place on the grid.
func (s *survival) onGrid(at float64) float64 {
	if at <= s.begins*s.perUnit {
		return 1
	}
	i := int(at)
	if i >= len(s.value)-1 {
		return s.beyond(at)
	}
	v := s.value[i : i+2]
	return v[0] + (at-float64(i))*(v[1]-v[0])
}

func (s *survival) beyond(at float64) float64 {
	last := len(s.value) - 1
	return s.value[last] * math.Exp(s.slope*(at-float64(last))/s.perUnit)
}
