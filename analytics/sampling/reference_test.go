package sampling

import (
	"maps"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/internal/refcheck"
)

// TestReferenceSampling checks totals against R's survey package; the files say how.
func TestReferenceSampling(t *testing.T) {
	refcheck.Run(t, "analytics/sampling", map[string]refcheck.Handler{
		"total from a simple random sample": simple,
		"total from a stratified sample":    stratified,
		"total from sampled clusters":       clusters,
		"ratio estimator of a total":        ratio,

		"removal (depletion) estimate of a total": removal,
		"two-observer (Chapman) estimator":        twoObservers,
	})
}

func interval(t Total) []float64 {
	low, high := t.Interval(0.95)
	return []float64{low, high}
}

func simple(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Y []float64
		N int
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	s, err := SimpleTotal(in.Y, in.N)
	if err != nil {
		return nil, err
	}
	half := distuv.UnitNormal.Quantile(0.975) * s.SE
	var cv any // not of a total of 0
	if s.Estimate != 0 {
		cv = s.SE / s.Estimate
	}
	return []refcheck.Answer{{Got: map[string]any{
		"n": s.Counted, "mean": s.Mean, "s2": s.Variance, "total": s.Estimate, "se_total_fpc": s.SE, "se_total_no_fpc": s.SEUncorrected(),
		"cv": cv, "ci95_t": interval(s.Total), "ci95_normal": []float64{s.Estimate - half, s.Estimate + half}, "se_mean_fpc": s.MeanSE(),
	}}}, nil
}

func stratified(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Stratum []string
		Y       []float64
		N       map[string]int `json:"N_h"`
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var strata []Stratum
	for _, name := range slices.Sorted(maps.Keys(in.N)) {
		h := Stratum{Name: name, N: in.N[name]}
		for i := range in.Y {
			if in.Stratum[i] == name {
				h.Y = append(h.Y, in.Y[i])
			}
		}
		strata = append(strata, h)
	}
	s, err := StratifiedTotal(strata)
	if err != nil {
		return nil, err
	}
	n, mean, s2, total, se := map[string]int{}, map[string]float64{}, map[string]float64{}, map[string]float64{}, map[string]float64{}
	for i, h := range strata {
		one := s.Strata[i]
		n[h.Name], mean[h.Name], s2[h.Name], total[h.Name], se[h.Name] = one.Counted, one.Mean, one.Variance, one.Estimate, one.SE
	}
	return []refcheck.Answer{{Got: map[string]any{
		"n_h": n, "mean_h": mean, "s2_h": s2, "total_h": total, "se_total_h": se, "total": s.Estimate, "se_total": s.SE, "mean": s.Mean, "se_mean": s.MeanSE,
		"df_design": s.DF, "df_satterthwaite": s.Satterthwaite.DF, "ci95_t_design": interval(s.Total), "ci95_t_satterthwaite": interval(s.Satterthwaite),
	}}}, nil
}

func clusters(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Cluster  []string
		Y        []float64
		Clusters int `json:"M_clusters"`
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	totals := map[string]float64{}
	for i, c := range in.Cluster {
		totals[c] += in.Y[i]
	}
	var y []float64
	for _, name := range slices.Sorted(maps.Keys(totals)) {
		y = append(y, totals[name])
	}
	t, err := ClusterTotal(y, in.Clusters)
	if err != nil {
		return nil, err
	}
	return []refcheck.Answer{{Got: map[string]any{
		"cluster_total": totals, "total": t.Estimate, "se_total": t.SE, "df": t.DF, "ci95_t": interval(t),
	}}}, nil
}

func ratio(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Y, X   []float64
		N      int
		TotalX float64 `json:"X_total"`
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	r, err := RatioTotal(in.Y, in.X, in.N, in.TotalX)
	if err != nil {
		return nil, err
	}
	return []refcheck.Answer{{Got: map[string]any{
		"ratio": r.Ratio, "se_ratio": r.RatioSE, "total": r.Estimate, "se_total": r.SE, "se_total_using_population_mean_of_x": r.SEByPopulationMean,
		"expansion_total": r.Expansion.Estimate, "expansion_se": r.Expansion.SE, "correlation_yx": r.Correlation,
	}}}, nil
}
