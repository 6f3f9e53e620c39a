package survival

import (
	"maps"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/posdef"
)

// LogRank compares the survival of groups (Mantel 1966, Cancer Chemother. Rep. 50:163–170; Peto and Peto 1972, J. R. Stat. Soc. A
// 135:185–207).
type LogRank struct {
	Groups   []string // sorted
	Observed []float64
	Expected []float64
	ChiSq    float64
	DF       int
	P        float64
}

// FitLogRank tests whether groups differ.
func FitLogRank(groups map[string][]Event) (*LogRank, error) {
	names := slices.Sorted(maps.Keys(groups))
	if len(names) < 2 {
		return nil, refuse("a comparison wants two groups or more")
	}
	n := len(names)
	l := &LogRank{Groups: names, Observed: make([]float64, n), Expected: make([]float64, n), DF: n - 1}
	times := map[float64]bool{}
	for _, events := range groups {
		for _, e := range events {
			if e.Came {
				times[e.Time] = true
			}
		}
	}
	variance := mat.NewSymDense(n, nil)
	for at := range times {
		risk, came := make([]float64, n), make([]float64, n)
		all, events := 0.0, 0.0
		for g, name := range names {
			for _, e := range groups[name] {
				if e.Time >= at {
					risk[g]++
				}
				if e.Came && e.Time == at {
					came[g]++
				}
			}
			all, events = all+risk[g], events+came[g]
		}
		for g := range names {
			l.Observed[g] += came[g]
			l.Expected[g] += events * risk[g] / all
			for h := g; h < n && all > 1; h++ {
				share := -risk[g] * risk[h] / (all * all)
				if g == h {
					share += risk[g] / all
				}
				variance.SetSym(g, h, variance.At(g, h)+events*(all-events)/(all-1)*share)
			}
		}
	}
	// One group is told by the others.
	v, d := mat.NewSymDense(n-1, nil), make([]float64, n-1)
	for g := range n - 1 {
		d[g] = l.Observed[g] - l.Expected[g]
		for h := g; h < n-1; h++ {
			v.SetSym(g, h, variance.At(g, h))
		}
	}
	x, ok := posdef.Solve(v, d, worstCondition)
	if !ok {
		return nil, refuse("the groups weren't at risk at the same times: nothing to compare")
	}
	for g := range x {
		l.ChiSq += x[g] * d[g]
	}
	l.P = distuv.ChiSquared{K: float64(l.DF)}.Survival(l.ChiSq)
	return l, nil
}
