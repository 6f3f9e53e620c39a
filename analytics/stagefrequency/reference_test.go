package stagefrequency_test

import (
	"encoding/json"
	"fmt"
	"strconv"
	"testing"

	"vinetally/analytics/internal/refcheck"
	"vinetally/analytics/ordinal"
	"vinetally/analytics/posdef"
	"vinetally/analytics/stagefrequency"
)

// TestReferenceStageFrequency checks fits against R's optim, ordinal and published ones; the files say how.
func TestReferenceStageFrequency(t *testing.T) {
	refcheck.Run(t, "analytics/stagefrequency", map[string]refcheck.Handler{
		"stage-frequency model (logistic, variance proportional to time)": proportional,
		"stage-frequency model (constant variance)":                       constant,
	})
}

type tree = map[string]any

type input struct {
	T      []float64
	Counts [][]float64
	Link   string
}

func (in input) fit(variance stagefrequency.Variance) (*stagefrequency.Fit, error) {
	links := map[string]ordinal.Link{"": ordinal.Logit, "logit": ordinal.Logit, "probit": ordinal.Probit, "cloglog": ordinal.CLogLog, "loglog": ordinal.LogLog}
	link, known := links[in.Link]
	if !known {
		return nil, fmt.Errorf("the link %q is not one that the product has", in.Link)
	}
	v := stagefrequency.Visits{Times: in.T, Counts: in.Counts}
	if len(in.Counts) > 0 {
		for s := range in.Counts[0] {
			v.Stages = append(v.Stages, strconv.Itoa(s+1))
		}
	}
	return stagefrequency.New(v, variance, link)
}

func numbered(prefix, last string, values []float64) tree {
	cuts := len(values) - 1
	t := tree{last: values[cuts]}
	for j, v := range values[:cuts] {
		t[prefix+strconv.Itoa(j+1)] = v
	}
	return t
}

func shares(f *stagefrequency.Fit, times []float64) (p, se [][]float64, err error) {
	for _, t := range times {
		one, e, err := f.Shares(t)
		if err != nil {
			return nil, nil, err
		}
		p, se = append(p, one), append(se, e)
	}
	return p, se, nil
}

// common is what both kinds of file ask for; predict is answered at the times that the file names.
func common(f refcheck.File, fit *stagefrequency.Fit, times []float64) (tree, error) {
	var want struct{ Predict struct{ T []float64 } }
	if err := json.Unmarshal(f.Expected, &want); err != nil {
		return nil, err
	}
	fitted, _, err := shares(fit, times)
	if err != nil {
		return nil, err
	}
	p, se, err := shares(fit, want.Predict.T)
	if err != nil {
		return nil, err
	}
	t50 := []tree{}
	for j := range fit.Cuts {
		at, err := fit.Passed(j, 0.5)
		if err != nil {
			return nil, err
		}
		t50 = append(t50, tree{"estimate": at.At, "se_delta": at.SE})
	}
	return tree{"logLik_kernel": fit.LogLikKernel, "g2": fit.G2, "deviance_vs_saturated": fit.G2, "pearson_x2": fit.Pearson, "df_residual": fit.DF,
		"fitted_probability": fitted, "t50": t50, "predict": tree{"t": want.Predict.T, "probability": p, "se_delta": se}}, nil
}

func proportional(f refcheck.File) ([]refcheck.Answer, error) {
	var in input
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	fit, err := in.fit(stagefrequency.Proportional)
	if err != nil {
		return nil, err
	}
	got, err := common(f, fit, in.T)
	if err != nil {
		return nil, err
	}
	got["estimate"] = numbered("a", "b2", append(append([]float64(nil), fit.A...), fit.B2))
	got["se"] = numbered("a", "b2", fit.SE())
	got["vcov"] = fit.Covariance
	return []refcheck.Answer{{Got: got, Rules: []refcheck.Rule{
		{At: "se", Rel: 1e-4, Why: "the file's own note: its Hessian is by differences"},
		{At: "predict/se_delta", Rel: 1e-4, Abs: 1e-8, Why: "errors of shares by the same Hessian"},
		{At: "pearson_x2", Rel: 1e-4, Why: "the file's own note: many expected counts are tiny"},
	}}}, nil
}

func constant(f refcheck.File) ([]refcheck.Answer, error) {
	var in input
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	fit, err := in.fit(stagefrequency.Constant)
	if err != nil {
		return nil, err
	}
	got, err := common(f, fit, in.T)
	if err != nil {
		return nil, err
	}
	coef := append([]float64(nil), fit.Linear.Coef...)
	coef[len(coef)-1] *= -1
	got["estimate"] = numbered("alpha", "slope", coef)
	got["se"] = numbered("alpha", "slope", posdef.StandardErrors(fit.Linear.Observed))
	return []refcheck.Answer{{Got: got, Rules: []refcheck.Rule{
		{At: "se", Rel: 1e-4, Why: "the file's own note"},
		{At: "fitted_probability", Rel: 1e-6, Abs: 1e-15, Why: "R takes a share near 0 as the difference of two numbers near 1, with their rounding of 1e-16; ours has all digits (ordinal's TestRareStagesKeepTheirDigits)"},
	}}}, nil
}
