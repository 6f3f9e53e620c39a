package survival

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Turnbull is the nonparametric maximum likelihood estimate for interval-censored times (Turnbull 1976, J. R. Stat. Soc. B 38:290–295):
// where the mass lies, and how much. How it is spread within an interval can't be known.
type Turnbull struct {
	Left, Right []float64 // of the intervals (Left, Right] with mass
	Mass        []float64
	LogLik      float64
	// Unique tells whether no other division of the mass is as likely.
	Unique bool
}

const (
	mostRounds   = 500_000
	smallestMass = 1e-7
)

// FitTurnbull finds the estimate by the self-consistency algorithm, which is EM, with the intervals dropped that it empties.
func FitTurnbull(data []Interval) (*Turnbull, error) {
	if err := check(data); err != nil {
		return nil, err
	}
	t := innermost(data)
	inside := make([][]int, len(data))
	for i, o := range data {
		for j := range t.Left {
			if o.covers(t.Left[j], t.Right[j]) {
				inside[i] = append(inside[i], j)
			}
		}
	}
	n := len(t.Left)
	all := 0.0
	for _, o := range data {
		all += o.Weight
	}
	if all == 0 {
		return nil, refuse("there is no observation with any weight")
	}
	t.Mass = make([]float64, n)
	for j := range t.Mass {
		t.Mass[j] = 1 / float64(n)
	}
	for range mostRounds {
		next := make([]float64, n)
		for i, o := range data {
			sum := 0.0
			for _, j := range inside[i] {
				sum += t.Mass[j]
			}
			for _, j := range inside[i] {
				next[j] += o.Weight / all * t.Mass[j] / sum
			}
		}
		change := 0.0
		for j := range next {
			change = max(change, math.Abs(next[j]-t.Mass[j]))
		}
		t.Mass = next
		if change < 1e-13 {
			break
		}
	}
	for i, o := range data {
		sum := 0.0
		for _, j := range inside[i] {
			sum += t.Mass[j]
		}
		t.LogLik += o.Weight * math.Log(sum)
	}
	t.Unique = t.unique(data, inside)
	t.drop()
	return t, nil
}

// innermost lists the intervals between a left end and the next right end with no other end between.
func innermost(data []Interval) *Turnbull {
	type end struct {
		at    float64
		right bool
		exact bool // of a time known exactly, whose interval is the point
	}
	var ends []end
	for _, o := range data {
		if o.Weight == 0 {
			continue
		}
		exact := o.Left == o.Right
		ends = append(ends, end{o.Left, false, exact}, end{o.Right, true, exact})
	}
	// At one instant the right ends come first, since (a, t] ends there and (t, b] begins after it; a point [t, t] begins before.
	rank := func(e end) int {
		switch {
		case e.exact && !e.right:
			return 0
		case e.right:
			return 1
		default:
			return 2
		}
	}
	slices.SortFunc(ends, func(a, b end) int { return cmp.Or(cmp.Compare(a.at, b.at), rank(a)-rank(b)) })
	t := &Turnbull{}
	for i := 1; i < len(ends); i++ {
		if ends[i].right && !ends[i-1].right {
			t.Left, t.Right = append(t.Left, ends[i-1].at), append(t.Right, ends[i].at)
		}
	}
	return t
}

func (o Interval) covers(left, right float64) bool {
	if o.Left == o.Right {
		return left == o.Left && right == o.Right
	}
	if left == right {
		return o.Left < left && right <= o.Right
	}
	return o.Left <= left && right <= o.Right
}

// unique tells whether the observations tell the masses apart (Gentleman and Geyer 1994, Biometrika 81:618–623): the columns of the matrix of
// which interval lies in which observation are independent, of the intervals that could hold mass.
func (t *Turnbull) unique(data []Interval, inside [][]int) bool {
	all := 0.0
	gradient := make([]float64, len(t.Left))
	for i, o := range data {
		sum := 0.0
		for _, j := range inside[i] {
			sum += t.Mass[j]
		}
		for _, j := range inside[i] {
			gradient[j] += o.Weight / sum
		}
		all += o.Weight
	}
	column := map[int]int{}
	for j := range gradient {
		if t.Mass[j] > smallestMass || gradient[j] > all*(1-1e-6) {
			column[j] = len(column)
		}
	}
	a := mat.NewDense(len(data), len(column), nil)
	for i, o := range data {
		if o.Weight == 0 {
			continue
		}
		for _, j := range inside[i] {
			if k, ok := column[j]; ok {
				a.Set(i, k, 1)
			}
		}
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDNone) {
		return false
	}
	return svd.Rank(1e-9) == len(column)
}

// drop leaves out the intervals without mass.
func (t *Turnbull) drop() {
	var left, right, mass []float64
	for j, m := range t.Mass {
		if m > smallestMass {
			left, right, mass = append(left, t.Left[j]), append(right, t.Right[j]), append(mass, m)
		}
	}
	t.Left, t.Right, t.Mass = left, right, mass
}

// SurvivalAfter is the share that hasn't come by the end of each interval.
func (t *Turnbull) SurvivalAfter() []float64 {
	out, sum := make([]float64, len(t.Mass)), 1.0
	for j, m := range t.Mass {
		sum -= m
		if out[j] = sum; sum < smallestMass {
			out[j] = 0
		}
	}
	return out
}

// Median is the interval in which the share that has come passes a half.
func (t *Turnbull) Median() (left, right float64) {
	for j, s := range t.SurvivalAfter() {
		if s <= 0.5 {
			return t.Left[j], t.Right[j]
		}
	}
	last := len(t.Left) - 1
	return t.Left[last], t.Right[last]
}
