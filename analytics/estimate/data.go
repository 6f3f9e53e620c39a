package estimate

import (
	"fmt"
	"math"
	"slices"
)

// Data holds the points: Y[i] was observed at X[i] with weight Weight[i], meaning a variance of σ²/Weight[i].
//
// A nil Weight means weight 1 everywhere. Rows may come in any order and X may repeat. No function of this package changes
// the slices or keeps them.
type Data struct {
	X, Y, Weight []float64
}

// TotalSquares returns Σ wᵢ·(yᵢ − ȳ)², the residual sum of squares of the model with no structure: the weighted mean.
func (d Data) TotalSquares() float64 {
	var sumW, sumWY float64
	for i, y := range d.Y {
		w := d.weight(i)
		sumW += w
		sumWY += w * y
	}
	mean := sumWY / sumW
	var total float64
	for i, y := range d.Y {
		total += d.weight(i) * (y - mean) * (y - mean)
	}
	return total
}

func (d Data) weight(i int) float64 {
	if d.Weight == nil {
		return 1
	}
	return d.Weight[i]
}

// check returns Invalid for slices of unequal length, numbers that are not finite or too large to square, and weights
// that are not above 0.
func (d Data) check() error {
	if len(d.Y) != len(d.X) {
		return &Invalid{What: "y", Row: -1, Detail: fmt.Sprintf("has %d values for %d values of x", len(d.Y), len(d.X))}
	}
	if d.Weight != nil && len(d.Weight) != len(d.X) {
		return &Invalid{What: "weight", Row: -1, Detail: fmt.Sprintf("has %d values for %d values of x", len(d.Weight), len(d.X))}
	}
	// Sums of squares of values up to 1e140 stay below the largest float64.
	const largest = 1e140
	for i := range d.X {
		switch {
		case !(math.Abs(d.X[i]) <= largest):
			return &Invalid{What: "x", Row: i, Detail: fmt.Sprintf("is %v; it must be a number of at most 1e140", d.X[i])}
		case !(math.Abs(d.Y[i]) <= largest):
			return &Invalid{What: "y", Row: i, Detail: fmt.Sprintf("is %v; it must be a number of at most 1e140", d.Y[i])}
		case d.Weight != nil && !(d.Weight[i] > 0 && d.Weight[i] <= 1e20):
			return &Invalid{What: "weight", Row: i, Detail: fmt.Sprintf("is %v; it must be above 0 and at most 1e20 (leave the row out instead of giving it no weight)", d.Weight[i])}
		}
	}
	return nil
}

// enough returns TooFew unless there are the given numbers of points and of different x.
func (d Data) enough(points, different int) error {
	if len(d.X) < points {
		return &TooFew{What: "points", Need: points, Have: len(d.X)}
	}
	if have := d.differentX(); have < different {
		return &TooFew{What: "different values of x", Need: different, Have: have}
	}
	return nil
}

func (d Data) differentX() int {
	xs := d.X
	if !slices.IsSorted(xs) {
		xs = slices.Sorted(slices.Values(xs))
	}
	count := 0
	for i, x := range xs {
		if i == 0 || x != xs[i-1] {
			count++
		}
	}
	return count
}

// span returns the smallest and the largest x and the largest |y|.
func (d Data) span() (lo, hi, top float64) {
	for _, y := range d.Y {
		top = math.Max(top, math.Abs(y))
	}
	return slices.Min(d.X), slices.Max(d.X), top
}
