package simulate

import (
	"math"
	"testing"
)

// TestUsualResponses: the rates are those that are said beside the published ones, and none outside base and ceiling.
func TestUsualResponses(t *testing.T) {
	for _, c := range []struct {
		name string
		r    Response
		want map[float64]float64 // rate by °C
	}{
		{"growing", usualGrowing, map[float64]float64{14: 0.48, 18: 0.84, 20: 1, 22: 1.14, 26: 1.34, 7.5: 0, 40: 0, 45: 0}},
		{"colouring", usualColouring, map[float64]float64{12.5: 0.46, 20: 1, 25: 1.31, 1: 0, -3: 0, 40: 0}},
	} {
		for at, want := range c.want {
			if got := c.r.At(at); math.Abs(got-want) > 0.005 {
				t.Errorf("%s at %v °C: %.4f, want %v", c.name, at, got, want)
			}
		}
		for at := c.r.Base; at < c.r.Ceiling; at += 0.5 {
			if c.r.At(at) > c.r.At(c.r.Optimum) {
				t.Errorf("%s is faster at %v °C than at its optimum", c.name, at)
			}
		}
	}
}
