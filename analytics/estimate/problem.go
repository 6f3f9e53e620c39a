package estimate

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// problem is a model with its data, ready for the search: the rows are multiplied by the square roots of their weights.
type problem struct {
	model Model
	data  Data
	root  []float64 // √wᵢ
	n, p  int
	// noise is the size that the norm of the weighted residuals can reach by rounding alone.
	noise float64
}

func newProblem(m Model, d Data) *problem {
	pr := &problem{model: m, data: d, root: make([]float64, len(d.X)), n: len(d.X), p: len(m.Names())}
	var sum float64
	for i := range pr.root {
		w := d.weight(i)
		pr.root[i] = math.Sqrt(w)
		sum += w * d.Y[i] * d.Y[i]
	}
	pr.noise = epsilon * math.Sqrt(sum)
	return pr
}

// epsilon is the distance from 1 to the next larger float64.
const epsilon = 0x1p-52

// residuals writes √wᵢ·(yᵢ − f(xᵢ; θ)) to r and returns their sum of squares; ok is false if that is not a number.
func (pr *problem) residuals(theta, r []float64) (rss float64, ok bool) {
	for i, x := range pr.data.X {
		r[i] = pr.root[i] * (pr.data.Y[i] - pr.model.Value(x, theta))
		rss += r[i] * r[i]
	}
	return rss, allFinite(rss)
}

// jacobian writes √wᵢ·∂f(xᵢ; θ)/∂θⱼ to the first n rows of dst.
func (pr *problem) jacobian(theta []float64, dst *mat.Dense) (ok bool) {
	for i, x := range pr.data.X {
		row := dst.RawRowView(i)
		pr.model.Gradient(x, theta, row)
		for j := range row {
			row[j] *= pr.root[i]
		}
		if !allFinite(row...) {
			return false
		}
	}
	return true
}

// columnNorms writes the Euclidean norm of each column of the first n rows of a to dst.
func columnNorms(a *mat.Dense, n int, dst []float64) {
	for j := range dst {
		// Hypot-style accumulation is not needed: data.check bounds the rows and an overflow makes the point unusable.
		var sum float64
		for i := range n {
			v := a.At(i, j)
			sum += v * v
		}
		dst[j] = math.Sqrt(sum)
	}
}

func dot(a, b []float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
