// Package isotonic fits numbers that can only rise, or only fall, by least squares: pool adjacent violators (Ayer and others 1955, Ann.
// Math. Stat. 26:641–647; Barlow, Bartholomew, Bremner and Brunk 1972, Statistical Inference under Order Restrictions).
package isotonic

import (
	"fmt"
	"math"
)

// Fit is a fitted monotone sequence.
type Fit struct {
	Values []float64 // one for each number given
	Blocks []int     // how many neighbours share each value, in order
	SSE    float64   // Σ w·(y − value)²
}

// Invalid says which input can't be fitted.
type Invalid struct{ Reason string }

func (e *Invalid) Error() string { return e.Reason }

// Rising fits a sequence that never falls. Weights are above 0; nil is 1 for all.
func Rising(y, weight []float64) (Fit, error) { return fit(y, weight, 1) }

// Falling fits a sequence that never rises.
func Falling(y, weight []float64) (Fit, error) { return fit(y, weight, -1) }

type block struct {
	sum, weight float64 // Σ w·y and Σ w
	n           int
}

func (b block) mean() float64 { return b.sum / b.weight }

func fit(y, weight []float64, sign float64) (Fit, error) {
	if weight != nil && len(weight) != len(y) {
		return Fit{}, &Invalid{fmt.Sprintf("there are %d numbers and %d weights", len(y), len(weight))}
	}
	var blocks []block
	for i, v := range y {
		w := 1.0
		if weight != nil {
			w = weight[i]
		}
		if !(w > 0) || math.IsInf(w, 1) || math.IsNaN(v) || math.IsInf(v, 0) {
			return Fit{}, &Invalid{fmt.Sprintf("number %d is %v with weight %v; both must be finite and the weight above 0", i+1, v, w)}
		}
		b := block{w * v, w, 1}
		for n := len(blocks); n > 0 && sign*(blocks[n-1].mean()-b.mean()) > 0; n = len(blocks) {
			b = block{blocks[n-1].sum + b.sum, blocks[n-1].weight + b.weight, blocks[n-1].n + b.n}
			blocks = blocks[:n-1]
		}
		blocks = append(blocks, b)
	}
	f := Fit{Values: make([]float64, 0, len(y))}
	for _, b := range merged(blocks) {
		f.Blocks = append(f.Blocks, b.n)
		for range b.n {
			i := len(f.Values)
			w := 1.0
			if weight != nil {
				w = weight[i]
			}
			f.SSE += w * (y[i] - b.mean()) * (y[i] - b.mean())
			f.Values = append(f.Values, b.mean())
		}
	}
	return f, nil
}

// merged joins neighbours of one value into one block.
func merged(blocks []block) []block {
	var out []block
	for _, b := range blocks {
		if n := len(out); n > 0 && out[n-1].mean() == b.mean() {
			out[n-1].n += b.n
			out[n-1].sum += b.sum
			out[n-1].weight += b.weight
			continue
		}
		out = append(out, b)
	}
	return out
}
