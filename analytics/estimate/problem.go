package estimate

import "math"

// problem is a model with its data, ready for the search: the rows are multiplied by the square roots of their weights.
type problem struct {
	model Model
	names []string
	data  Data
	root  []float64 // √wᵢ
	n, p  int
	// noise is the size that the norm of the weighted residuals can reach by rounding alone.
	noise float64
}

func newProblem(m Model, d Data) *problem {
	names := m.Names()
	pr := &problem{model: m, names: names, data: d, root: make([]float64, len(d.X)), n: len(d.X), p: len(names)}
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

// point is a θ and what the model says there.
type point struct {
	theta  []float64
	fitted []float64 // f(xᵢ; θ)
	r      []float64 // √wᵢ·(yᵢ − f(xᵢ; θ))
	rss    float64   // Σ rᵢ²
	jac    []float64 // √wᵢ·∂f(xᵢ; θ)/∂θⱼ, n×p, row after row
	norms  []float64 // the Euclidean norms of the columns of jac
	known  bool      // all of that has been evaluated at theta
}

func (pr *problem) newPoint(room *room) point {
	n, p := pr.n, pr.p
	return point{theta: room.take(p), fitted: room.take(n), r: room.take(n), jac: room.take(n * p), norms: room.take(p)}
}

// room is memory that a search hands out in parts.
type room []float64

func (r *room) take(size int) []float64 {
	part := (*r)[:size:size]
	*r = (*r)[size:]
	return part
}

// evaluate fills a point from its theta; ok is false if something there is not a number, or a norm not one that a float64 holds.
func (pr *problem) evaluate(at *point) (ok bool) {
	at.rss = 0
	clear(at.norms)
	for i, x := range pr.data.X {
		row := at.jac[i*pr.p : (i+1)*pr.p]
		at.fitted[i] = pr.model.Gradient(x, at.theta, row)
		r := pr.root[i] * (pr.data.Y[i] - at.fitted[i])
		at.r[i] = r
		at.rss += r * r
		for j := range row {
			row[j] *= pr.root[i]
			at.norms[j] += row[j] * row[j]
		}
	}
	for j, sum := range at.norms {
		at.norms[j] = math.Sqrt(sum)
	}
	at.known = allFinite(at.rss) && allFinite(at.norms...)
	return at.known
}

func dot(a, b []float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}
