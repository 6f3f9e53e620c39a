package glm

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/internal/refcheck"
	"vinetally/analytics/posdef"
)

// TestReferenceGLM checks fits against R's glm; the files say how.
func TestReferenceGLM(t *testing.T) {
	refcheck.Run(t, "analytics/glm", map[string]refcheck.Handler{
		"binomial regression (logit link) with quasi-binomial SEs":  shares(Logit),
		"binomial regression (probit link) with quasi-binomial SEs": shares(Probit),
		"Poisson regression (log link)":                             counts,
		"exact Poisson rate and rate ratio":                         rates,
		"beta-binomial regression (logit)":                          betaBinomial,
		"negative binomial regression (NB2, log link)":              negativeBinomial,
	})
}

type tree = map[string]any

func named(names []string, values []float64) tree {
	t := tree{}
	for i, n := range names {
		t[n] = values[i]
	}
	return t
}

// inference is estimates with their tests: normal for the family's dispersion, t on df degrees of freedom for the data's.
func inference(names []string, f *Fit, scale float64, df int) tree {
	n := len(f.Coef)
	se, statistic, p, lo, hi := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	tail := func(x float64) float64 { return 2 * distuv.UnitNormal.Survival(math.Abs(x)) }
	q := distuv.UnitNormal.Quantile(0.975)
	if df > 0 {
		t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}
		tail = func(x float64) float64 { return 2 * t.Survival(math.Abs(x)) }
		q = t.Quantile(0.975)
	}
	for i, b := range f.Coef {
		se[i] = f.SE()[i] * math.Sqrt(scale)
		statistic[i] = b / se[i]
		p[i] = tail(statistic[i])
		lo[i], hi[i] = b-q*se[i], b+q*se[i]
	}
	return tree{"se": named(names, se), "statistic": named(names, statistic), "p": named(names, p), "lo95": named(names, lo), "hi95": named(names, hi), "dispersion": scale}
}

type input struct {
	Successes, Trials, Y, Offset []float64
	Names                        []string    `json:"column_names"`
	X                            [][]float64 `json:"design_matrix"`
}

func shares(link Link) refcheck.Handler {
	return func(f refcheck.File) ([]refcheck.Answer, error) {
		var in input
		if err := f.Decode(&in); err != nil {
			return nil, err
		}
		fit, err := Regress(Data{X: in.X, Y: in.Successes, Trials: in.Trials}, link)
		if err != nil {
			return nil, err
		}
		got := common(in.Names, fit)
		got["null_deviance_intercept"] = fit.NullDeviance
		got["logLik_kernel"] = fit.LogLikKernel
		got["fitted_probability"] = fit.Mean
		if len(fit.Coef) == 2 && strings.Contains(strings.ToLower(in.Names[0]), "intercept") {
			levels := tree{}
			for name, p := range map[string]float64{"p10": 0.1, "p25": 0.25, "p50": 0.5, "p75": 0.75, "p90": 0.9} {
				l, err := fit.LevelAt(p, 0.95, 1)
				if err != nil {
					return nil, err
				}
				one := tree{"p": p, "estimate": l.At, "se_delta": l.SE, "wald_lo95": l.Low, "wald_hi95": l.High, "fieller_lo95": nil, "fieller_hi95": nil}
				if l.Bounded {
					one["fieller_lo95"], one["fieller_hi95"] = l.FiellerLow, l.FiellerHigh
				}
				levels[name] = one
			}
			got["effective_level"] = levels
		}
		return []refcheck.Answer{{Got: got}}, nil
	}
}

func common(names []string, fit *Fit) tree {
	got := inference(names, fit, 1, 0)
	got["estimate"] = named(names, fit.Coef)
	got["vcov"] = fit.Covariance
	got["deviance"], got["df_residual"] = fit.Deviance, fit.DF
	got["pearson_x2"], got["dispersion_pearson"] = fit.PearsonX2, fit.Dispersion()
	got["logLik"], got["aic"] = fit.LogLik, fit.AIC()
	got["quasi"] = inference(names, fit, fit.Dispersion(), fit.DF)
	return got
}

func counts(f refcheck.File) ([]refcheck.Answer, error) {
	var in input
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	fit, err := Regress(Data{X: in.X, Y: in.Y, Offset: in.Offset}, Log)
	if err != nil {
		return nil, err
	}
	got := common(in.Names, fit)
	got["null_deviance"], got["fitted"] = fit.NullDeviance, fit.Mean
	n := len(fit.Coef)
	ratio, lo, hi := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, b := range fit.Coef {
		half := distuv.UnitNormal.Quantile(0.975) * fit.SE()[i]
		ratio[i], lo[i], hi[i] = math.Exp(b), math.Exp(b-half), math.Exp(b+half)
	}
	got["rate_ratio"] = named(in.Names, ratio)
	got["rate_ratio_ci95"] = tree{"lo": named(in.Names, lo), "hi": named(in.Names, hi)}
	return []refcheck.Answer{{Got: got}}, nil
}

func rates(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct{ Rows [][]float64 }
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	bounded := func(x float64, is bool) any {
		if !is {
			return nil
		}
		return x
	}
	var results []tree
	for _, r := range in.Rows {
		if len(r) == 2 {
			one, err := RateOf(int(r[0]), r[1], 0.95)
			if err != nil {
				return nil, err
			}
			results = append(results, tree{"count": r[0], "exposure": r[1], "rate": one.Estimate, "exact_lo95": one.Low, "exact_hi95": one.High})
			continue
		}
		two, err := Compare(int(r[0]), r[2], int(r[1]), r[3], 0.95)
		if err != nil {
			return nil, err
		}
		results = append(results, tree{"count1": r[0], "count2": r[1], "exposure1": r[2], "exposure2": r[3],
			"rate_ratio": bounded(two.Estimate, two.Bounded), "exact_p": two.P, "exact_lo95": two.Low, "exact_hi95": bounded(two.High, two.Bounded)})
	}
	return []refcheck.Answer{{Got: tree{"results": results}}}, nil
}

func betaBinomial(f refcheck.File) ([]refcheck.Answer, error) {
	var in input
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	fit, err := BetaBinomial(Data{X: in.X, Y: in.Successes, Trials: in.Trials, Offset: in.Offset})
	if err != nil {
		return nil, err
	}
	names := append(append([]string(nil), in.Names...), "log_phi")
	return []refcheck.Answer{{Got: tree{
		"estimate": named(names, append(append([]float64(nil), fit.Coef...), fit.LogShape)), "se": named(names, fit.SE()),
		"phi": fit.Shape(), "intraclass_correlation": fit.IntraclassCorrelation(), "logLik": fit.LogLik,
	}}}, nil
}

func negativeBinomial(f refcheck.File) ([]refcheck.Answer, error) {
	var in input
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	fit, err := NegativeBinomial(Data{X: in.X, Y: in.Y, Offset: in.Offset})
	if err != nil {
		return nil, err
	}
	p := len(fit.Coef)
	return []refcheck.Answer{{Got: tree{
		"estimate": named(in.Names, fit.Coef), "se_glm_style": named(in.Names, posdef.StandardErrors(fit.Given)), "se_observed_information": named(in.Names, fit.SE()[:p]),
		"theta": fit.Shape(), "se_theta_glm_nb": fit.SETheta, "log_theta": fit.LogShape, "se_log_theta_observed": fit.SE()[p],
		"logLik": fit.LogLik, "aic": fit.AIC(), "deviance": fit.Deviance, "df_residual": fit.DF, "fitted": fit.Mean,
	}}}, nil
}
