package ordinal

import (
	"fmt"
	"slices"
)

// Data are counts by stage under different conditions.
type Data struct {
	Stages []string    // in order
	Counts [][]float64 // a row for each condition, a column for each stage
	X      [][]float64 // the covariates of each row
}

// Refusal says in words why there is no fit.
type Refusal struct{ Reason string }

func (e *Refusal) Error() string { return e.Reason }

func refuse(format string, args ...any) error { return &Refusal{fmt.Sprintf(format, args...)} }

func (d Data) check() error {
	if len(d.Counts) == 0 || len(d.Counts) != len(d.X) {
		return refuse("there must be as many rows of counts as of covariates, and at least one")
	}
	for i, row := range d.Counts {
		if len(row) != len(d.Stages) {
			return refuse("row %d has %d counts for %d stages", i+1, len(row), len(d.Stages))
		}
		if len(d.X[i]) != len(d.X[0]) {
			return refuse("row %d has %d covariates and not %d", i+1, len(d.X[i]), len(d.X[0]))
		}
		for s, n := range row {
			if !(n >= 0) {
				return refuse("row %d has a count of %v for %s", i+1, n, d.Stages[s])
			}
		}
	}
	return nil
}

// seen leaves out the stages without any fruit, and names them.
func (d Data) seen() (kept Data, empty []string) {
	kept = Data{X: d.X, Counts: make([][]float64, len(d.Counts))}
	for s, name := range d.Stages {
		if !slices.ContainsFunc(d.Counts, func(row []float64) bool { return row[s] > 0 }) {
			empty = append(empty, name)
			continue
		}
		kept.Stages = append(kept.Stages, name)
		for i, row := range d.Counts {
			kept.Counts[i] = append(kept.Counts[i], row[s])
		}
	}
	return kept, empty
}

func total(row []float64) float64 {
	sum := 0.0
	for _, n := range row {
		sum += n
	}
	return sum
}

// CutName names the cut between two stages.
func CutName(before, after string) string { return before + "|" + after }
