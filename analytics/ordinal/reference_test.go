package ordinal

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/glm"
	"vinetally/analytics/internal/refcheck"
	"vinetally/analytics/posdef"
)

// TestReferenceOrdinal checks fits against R's ordinal, VGAM, MASS and glm; the files say how.
func TestReferenceOrdinal(t *testing.T) {
	refcheck.Run(t, "analytics/ordinal", map[string]refcheck.Handler{
		"cumulative link model (proportional odds type)":  proportional,
		"cumulative link model without proportionality":   separate,
		"cumulative link model with an unobserved stage":  unobserved,
		"sequential (continuation-ratio, stopping) model": sequential,
	})
}

type tree = map[string]any

type input struct {
	Link, Unobserved string
	Categories       []string
	Counts           [][]float64
	Names            []string `json:"covariate_names"`
	Covariates       [][]float64
	X, Day           []float64
}

func (in input) link() (Link, error) {
	links := map[string]Link{"": Logit, "logit": Logit, "probit": Probit, "cloglog": CLogLog, "loglog": LogLog}
	link, known := links[in.Link]
	if !known {
		return 0, fmt.Errorf("the link %q is not one that the product has", in.Link)
	}
	return link, nil
}

func (in input) data() Data {
	d := Data{Stages: in.Categories, Counts: in.Counts, X: in.Covariates}
	for _, x := range append(in.X, in.Day...) {
		d.X = append(d.X, []float64{x})
	}
	return d
}

func named(names []string, values []float64) tree {
	t := tree{}
	for i, n := range names {
		t[n] = values[i]
	}
	return t
}

var z = distuv.UnitNormal.Quantile(0.975)

func half(c *Cumulative) (tree, error) {
	all := tree{}
	for j, name := range c.Cuts {
		at, err := c.Beyond(j, 0.5)
		if err != nil {
			return nil, err
		}
		all[name] = tree{"estimate": at.At, "se_delta": at.SE, "lo95": at.At - z*at.SE, "hi95": at.At + z*at.SE}
	}
	return all, nil
}

func fitted(c *Cumulative, x [][]float64) (shares, se [][]float64) {
	for _, row := range x {
		p, e := c.Probabilities(row)
		shares, se = append(shares, p), append(se, e)
	}
	return shares, se
}

func proportional(f refcheck.File) ([]refcheck.Answer, error) {
	var in input
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var want struct {
		Predict struct{ X [][]float64 }
	}
	if err := json.Unmarshal(f.Expected, &want); err != nil {
		return nil, err
	}
	d := in.data()
	link, err := in.link()
	if err != nil {
		return nil, err
	}
	c, err := Proportional(d, link)
	if err != nil {
		return nil, err
	}
	none := Data{Stages: d.Stages, Counts: d.Counts, X: make([][]float64, len(d.X))}
	null, err := Proportional(none, link)
	if err != nil {
		return nil, err
	}
	cuts := len(c.Cuts)
	names := append(append([]string(nil), c.Cuts...), in.Names...)
	shares, _ := fitted(c, d.X)
	chi := 2 * (c.LogLikKernel - null.LogLikKernel)
	df := len(in.Names)
	got := tree{
		"theta": named(c.Cuts, c.Coef), "beta": named(in.Names, c.Coef[cuts:]),
		"se_observed_information": named(names, posdef.StandardErrors(c.Observed)), "se_expected_information": named(names, posdef.StandardErrors(c.Expected)),
		"vcov_observed_information": c.Observed, "logLik_kernel": c.LogLikKernel, "logLik_with_multinomial_coefficient": c.LogLik,
		"deviance_vs_saturated": c.Deviance, "df_residual": c.DF, "aic_kernel": -2*c.LogLikKernel + 2*float64(len(c.Coef)), "fitted_probability": shares,
		"lr_test_vs_intercepts_only": tree{"chisq": chi, "df": df, "p": distuv.ChiSquared{K: float64(df)}.Survival(chi)},
	}
	if df == 2 {
		d, err := c.Delay(1)
		if err != nil {
			return nil, err
		}
		got["delay_days_of_second_cultivar"] = tree{"estimate": d.At, "se_delta": d.SE, "lo95": d.At - z*d.SE, "hi95": d.At + z*d.SE}
	}
	if df > 0 {
		t50, err := half(c)
		if err != nil {
			return nil, err
		}
		got["t50"] = t50
		years := tree{}
		for name, one := range t50 {
			years[name] = math.Exp(min(one.(tree)["estimate"].(float64), 700)) // where the covariate is a logarithm of years
		}
		got["median_effective_exposure_years"] = years
	}
	if want.Predict.X != nil {
		p, se := fitted(c, want.Predict.X)
		got["predict"] = tree{"x": want.Predict.X, "probability": p, "se_delta": se}
	}
	return []refcheck.Answer{{Got: got}}, nil
}

func separate(f refcheck.File) ([]refcheck.Answer, error) {
	var in input
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	d := in.data()
	link, err := in.link()
	if err != nil {
		return nil, err
	}
	c, err := Separate(d, link)
	if err != nil {
		return nil, err
	}
	parallel, err := Proportional(d, link)
	if err != nil {
		return nil, err
	}
	t50, err := half(c)
	if err != nil {
		return nil, err
	}
	cuts := len(c.Cuts)
	observed, expected := posdef.StandardErrors(c.Observed), posdef.StandardErrors(c.Expected)
	shares, _ := fitted(c, d.X)
	chi, df := 2*(c.LogLikKernel-parallel.LogLikKernel), len(c.Coef)-len(parallel.Coef)
	return []refcheck.Answer{{Got: tree{
		"intercept": named(c.Cuts, c.Coef), "slope": named(c.Cuts, c.Coef[cuts:]),
		"se_intercept_observed": named(c.Cuts, observed), "se_slope_observed": named(c.Cuts, observed[cuts:]),
		"se_intercept_expected": named(c.Cuts, expected), "se_slope_expected": named(c.Cuts, expected[cuts:]),
		"logLik_kernel": c.LogLikKernel, "logLik_with_multinomial_coefficient": c.LogLik, "deviance_vs_saturated": c.Deviance, "df_residual": c.DF,
		"t50": t50, "fitted_probability": shares,
		"lr_test_of_proportionality": tree{"logLik_parallel": parallel.LogLikKernel, "chisq": chi, "df": df, "p": distuv.ChiSquared{K: float64(df)}.Survival(chi)},
	}}}, nil
}

func unobserved(f refcheck.File) ([]refcheck.Answer, error) {
	var in input
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	link, err := in.link()
	if err != nil {
		return nil, err
	}
	c, err := Proportional(in.data(), link)
	if err != nil {
		return nil, err
	}
	t50, err := half(c)
	if err != nil {
		return nil, err
	}
	cuts := len(c.Cuts)
	got := tree{"theta_of_reduced_table": named(c.Cuts, c.Coef), "beta_day": c.Coef[cuts], "logLik_kernel": c.LogLikKernel, "t50": t50,
		"se_observed_information": named(append(append([]string(nil), c.Cuts...), "day"), posdef.StandardErrors(c.Observed))}
	if len(c.Empty) == 1 && c.Empty[0] == in.Unobserved {
		got["probability_of_unobserved_stage"] = 0
	}
	return []refcheck.Answer{{Got: got}}, nil
}

func sequential(f refcheck.File) ([]refcheck.Answer, error) {
	var in input
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	link, known := map[string]glm.Link{"": glm.Logit, "logit": glm.Logit, "probit": glm.Probit, "cloglog": glm.CLogLog}[in.Link]
	if !known {
		return nil, fmt.Errorf("the link %q is not one that the product has", in.Link)
	}
	s, err := Stopping(in.data(), link)
	if err != nil {
		return nil, err
	}
	stages, sum := tree{}, 0.0
	for j, name := range s.Stages {
		fit := s.Steps[j]
		se := fit.SE()
		stages[name] = tree{"intercept": fit.Coef[0], "slope": fit.Coef[1], "se_intercept": se[0], "se_slope": se[1],
			"residual_deviance": fit.Deviance, "logLik_kernel": fit.LogLikKernel}
		sum += fit.LogLikKernel
	}
	return []refcheck.Answer{{Got: tree{"stage": stages, "logLik_kernel_total": sum}}}, nil
}
