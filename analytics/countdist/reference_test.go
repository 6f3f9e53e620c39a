package countdist_test

import (
	"encoding/json"
	"fmt"
	"strconv"
	"testing"

	"vinetally/analytics/countdist"
	"vinetally/analytics/internal/refcheck"
)

// TestReferenceCounts checks the distributions against 40 digits of mpmath, crossed with SciPy; the files say how.
func TestReferenceCounts(t *testing.T) {
	refcheck.Run(t, "analytics/countdist", map[string]refcheck.Handler{
		"Poisson distribution":                                     poisson,
		"negative binomial distribution (mean mu, size theta)":     negativeBinomial,
		"Poisson-binomial distribution (sum of unequal Bernoulli)": poissonBinomial,
	})
}

type tree = map[string]any

// points are rows of parameters and a last number, which is a count or a probability.
type points struct {
	Points    [][]float64
	Quantiles [][]float64 `json:"quantile_points"`
}

func (in points) check(parameters int) error {
	for _, row := range append(in.Points, in.Quantiles...) {
		if len(row) != parameters+1 {
			return fmt.Errorf("a row has %d numbers, want %d", len(row), parameters+1)
		}
	}
	return nil
}

func poisson(f refcheck.File) ([]refcheck.Answer, error) {
	var in points
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	if err := in.check(1); err != nil {
		return nil, err
	}
	rows, quantiles := []tree{}, []tree{}
	for _, r := range in.Points {
		d, k := countdist.Poisson(r[0]), int(r[1])
		rows = append(rows, tree{"lam": r[0], "k": k, "pmf": d.Probability(k), "cdf": d.AtMost(k), "upper_tail_gt": d.AtLeast(k + 1)})
	}
	for _, r := range in.Quantiles {
		quantiles = append(quantiles, tree{"lam": r[0], "p": r[1], "quantile": countdist.Poisson(r[0]).Quantile(r[1])})
	}
	return []refcheck.Answer{{Got: tree{"points": rows, "quantiles": quantiles}}}, nil
}

func negativeBinomial(f refcheck.File) ([]refcheck.Answer, error) {
	var in points
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	if err := in.check(2); err != nil {
		return nil, err
	}
	of := func(r []float64) countdist.Distribution { return countdist.Matched(r[0], r[0]+r[0]*r[0]/r[1]) }
	rows, quantiles := []tree{}, []tree{}
	for _, r := range in.Points {
		d, k := of(r), int(r[2])
		rows = append(rows, tree{"mu": r[0], "theta": r[1], "k": k, "pmf": d.Probability(k), "cdf": d.AtMost(k), "upper_tail_gt": d.AtLeast(k + 1)})
	}
	for _, r := range in.Quantiles {
		quantiles = append(quantiles, tree{"mu": r[0], "theta": r[1], "p": r[2], "quantile": of(r).Quantile(r[2])})
	}
	return []refcheck.Answer{{Got: tree{"points": rows, "quantiles": quantiles}}}, nil
}

func poissonBinomial(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct{ P []float64 }
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var want struct {
		Quantile map[string]int `json:"quantile_smallest_k_with_cdf_ge"`
	}
	if err := json.Unmarshal(f.Expected, &want); err != nil {
		return nil, err
	}
	d := countdist.PoissonBinomial(in.P)
	pmf, cdf, quantiles := make([]float64, len(in.P)+1), make([]float64, len(in.P)+1), tree{}
	for k := range pmf {
		pmf[k], cdf[k] = d.Probability(k), d.AtMost(k)
	}
	for level := range want.Quantile {
		p, err := strconv.ParseFloat(level, 64)
		if err != nil {
			return nil, err
		}
		quantiles[level] = d.Quantile(p)
	}
	return []refcheck.Answer{{Got: tree{"pmf": pmf, "cdf": cdf, "mean": d.Mean(), "variance": d.Variance(), "quantile_smallest_k_with_cdf_ge": quantiles}}}, nil
}
