package glm

import "math"

// Data are n observations of p columns.
type Data struct {
	X [][]float64 // n rows of p columns, an intercept among them if wanted
	Y []float64   // successes, or counts
	// Trials of each observation make the family binomial; nil is Poisson.
	Trials []float64
	Offset []float64 // nil for none
}

func (d Data) check(link Link) error {
	n := len(d.Y)
	if n == 0 || len(d.X) != n || d.Trials != nil && len(d.Trials) != n || d.Offset != nil && len(d.Offset) != n {
		return refuse("there must be as many rows of every kind, and at least one")
	}
	if (d.Trials == nil) != (link == Log) {
		return refuse("shares want one of the links of shares, and counts the logarithm")
	}
	p := len(d.X[0])
	if p == 0 || n < p {
		return refuse("%d observations can't carry %d coefficients", n, p)
	}
	total, most := 0.0, 0.0
	for i := range d.Y {
		if len(d.X[i]) != p {
			return refuse("row %d has %d columns and not %d", i+1, len(d.X[i]), p)
		}
		numbers := append([]float64{d.Y[i]}, d.X[i]...)
		if d.Trials != nil {
			numbers = append(numbers, d.Trials[i])
		}
		if d.Offset != nil {
			numbers = append(numbers, d.Offset[i])
		}
		for _, v := range numbers {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return refuse("row %d has a value of %v, which is no number to fit", i+1, v)
			}
		}
		if d.Y[i] < 0 || d.Trials != nil && d.Y[i] > d.Trials[i] {
			return refuse("row %d has a count that can't be", i+1)
		}
		total += d.Y[i]
		if d.Trials != nil {
			most += d.Trials[i]
		}
	}
	if total == 0 || d.Trials != nil && total == most {
		return refuse("nothing happened, or everything: there is no change to fit")
	}
	return nil
}

// whole refuses counts that aren't whole numbers: these likelihoods are of whole numbers.
func (d Data) whole() error {
	for i := range d.Y {
		if d.Y[i] != math.Trunc(d.Y[i]) || d.Trials != nil && d.Trials[i] != math.Trunc(d.Trials[i]) {
			return refuse("row %d has a count that isn't a whole number", i+1)
		}
	}
	return nil
}

// exposure is what the expected count of an observation is proportional to in the model of an intercept alone.
func (d Data) exposure(i int) float64 {
	switch {
	case d.Trials != nil:
		return d.Trials[i]
	case d.Offset != nil:
		return math.Exp(d.Offset[i])
	default:
		return 1
	}
}

// predict writes offset + Σ x·β over eta.
func (d Data) predict(coef, eta []float64) {
	for i := range eta {
		eta[i] = 0
		if d.Offset != nil {
			eta[i] = d.Offset[i]
		}
		for j, b := range coef {
			eta[i] += b * d.X[i][j]
		}
	}
}
