package estimate

import (
	"fmt"
	"math"
)

// What the families a·F(c·ln(x/b)), which begin at x = 0, have in common.

// fromZeroStarts searches over the location b and the shape c.
func fromZeroStarts(d Data, family string, shape func(x, location, c float64) float64) ([][]float64, error) {
	for i, x := range d.X {
		if x < 0 {
			return nil, &Invalid{What: "x", Row: i, Detail: fmt.Sprintf("is %v; a %s curve starts at 0", x, family)}
		}
	}
	lo, hi, _ := d.span()
	var locations []float64
	for k := 0; k <= 16; k++ {
		if at := lo + (hi-lo)*float64(k)/12; at > 0 {
			locations = append(locations, at)
		}
	}
	var starts [][]float64
	for _, c := range selfStarts(d, locations, []float64{0.7, 1.2, 2, 3.5, 6, 10, 18, 35, 70}, true, shape) {
		starts = append(starts, []float64{c.rise, c.location, c.scale})
	}
	return starts, nil
}

func fromZeroLimits(d Data, theta []float64) []Limit {
	_, hi, top := d.span()
	return []Limit{
		{Name: "a", Value: math.Abs(theta[0]), Lo: 0, Hi: farAsymptote * top},
		{Name: "b", Value: theta[1], Lo: 0, Hi: farLocation * hi},
		{Name: "c", Value: math.Abs(theta[2]), Lo: 0, Hi: 1 / smallestScale},
	}
}

// fromZeroInverse: x = b·exp(z/c), z being F⁻¹ of the share.
func fromZeroInverse(z float64, theta, grad []float64) (float64, bool) {
	if !(theta[1] > 0) || theta[2] == 0 {
		return 0, false
	}
	x := theta[1] * math.Exp(z/theta[2])
	if grad != nil {
		grad[0], grad[1], grad[2] = 0, x/theta[1], -x*z/(theta[2]*theta[2])
	}
	return x, true
}

// fromZeroSlope: y depends on x/b alone, so ∂y/∂x = −(b/x)·∂y/∂b; at x = 0 it is taken next to it.
func fromZeroSlope(m Model, x float64, theta []float64) float64 {
	if x = math.Max(x, 1e-9*theta[1]); x == 0 {
		return 0
	}
	var grad [3]float64
	m.Gradient(x, theta, grad[:])
	return -grad[1] * theta[1] / x
}
