package stagefrequency

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
)

// pearson is Σ (n − N·π)²/(N·π) over the stages that were seen.
func (f *Fit) pearson(v Visits, empty []string) float64 {
	sum := 0.0
	for i, row := range v.Counts {
		shares, _ := f.Linear.SpreadProbabilities([]float64{v.Times[i]}, f.Variance.spread(v.Times[i]))
		all, s := floats.Sum(row), 0
		for k, n := range row {
			if slices.Contains(empty, v.Stages[k]) {
				continue
			}
			if expected := all * shares[s]; expected > 0 {
				sum += (n - expected) * (n - expected) / expected
			}
			s++
		}
	}
	return sum
}

// unlikely is the p-value of G2 below which the fit is called poor.
const unlikely = 0.01

func (f *Fit) warn(v Visits) {
	if len(f.Empty) > 0 {
		f.Warnings = append(f.Warnings, fmt.Sprintf("no fruit was seen at %s; when fruit enter and leave it can't be told", strings.Join(f.Empty, ", ")))
	}
	first, last := math.Inf(1), math.Inf(-1)
	for i, row := range v.Counts {
		if floats.Sum(row) > 0 {
			first, last = min(first, v.Times[i]), max(last, v.Times[i])
		}
	}
	for j, a := range f.A {
		if a < first || a > last {
			f.Warnings = append(f.Warnings, fmt.Sprintf("the passage %s at %.4g lies outside the times of the visits, %.4g to %.4g; it is carried on from them", f.Cuts[j], a, first, last))
		}
	}
	if f.DF > 0 && f.G2 > float64(f.DF) {
		if p := (distuv.ChiSquared{K: float64(f.DF)}).Survival(f.G2); p < unlikely {
			f.Warnings = append(f.Warnings, fmt.Sprintf("the fruit vary more than the model allows (G² %.1f on %d degrees of freedom): errors and intervals are too narrow, by about √(G²/df) = %.2g",
				f.G2, f.DF, math.Sqrt(f.G2/float64(f.DF))))
		}
	}
}
