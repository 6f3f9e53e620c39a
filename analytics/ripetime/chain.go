package ripetime

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Chain is stages that a fruit goes through one after another, each left at a constant rate a day; after the last rate comes the
// stage that isn't left, so that there is one stage more than rates. The time to it is hypoexponential, Erlang where the rates are equal.
type Chain struct{ rates []float64 }

// NewChain takes the rates of leaving, a day. An error is an *Invalid.
func NewChain(rates []float64) (Chain, error) {
	if len(rates) == 0 {
		return Chain{}, &Invalid{"a chain of stages needs a rate of leaving for each stage but the last"}
	}
	for i, r := range rates {
		if !(r > 0) || math.IsInf(r, 1) {
			return Chain{}, &Invalid{fmt.Sprintf("the rate of leaving stage %d is %v; it must be above 0", i+1, r)}
		}
	}
	return Chain{rates: append([]float64(nil), rates...)}, nil
}

// Occupancy is the chance to be in each stage so many days after entering the first: the first row of exp(Q·days), where Q has −rate on
// its diagonal and the rate beside it. The matrix exponential doesn't mind equal rates, where the sum of exponentials breaks down.
func (c Chain) Occupancy(days float64) []float64 {
	n := len(c.rates) + 1
	days = max(days, 0)
	q := mat.NewDense(n, n, nil)
	for i, r := range c.rates {
		q.Set(i, i, -r*days)
		q.Set(i, i+1, r*days)
	}
	var e mat.Dense
	e.Exp(q)
	row := make([]float64, n)
	for j := range row {
		row[j] = max(0, min(e.At(0, j), 1))
	}
	return row
}

// Mean is the expected number of days to the last stage, Σ 1/rate.
func (c Chain) Mean() float64 {
	sum := 0.0
	for _, r := range c.rates {
		sum += 1 / r
	}
	return sum
}

// Variance of the days to the last stage, Σ 1/rate².
func (c Chain) Variance() float64 {
	sum := 0.0
	for _, r := range c.rates {
		sum += 1 / (r * r)
	}
	return sum
}
