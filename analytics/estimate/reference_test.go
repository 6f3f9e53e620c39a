package estimate

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/internal/refcheck"
)

// TestReferenceLeastSquares checks the fits against NIST StRD certified values and against R; the files say which.
func TestReferenceLeastSquares(t *testing.T) {
	refcheck.Run(t, "analytics/estimate", map[string]refcheck.Handler{
		"nonlinear least squares":                certifiedProblem,
		"nonlinear least squares (growth curve)": growthCurve,
		"growth-model comparison (AICc weights)": modelChoice,
	})
}

// families are the product's curves by the formula that the files write.
var families = map[string]Curve{
	"y=Asym/(1+exp((xmid-x)/scal))":    Logistic{},
	"y=Asym*exp(-b2*b3^x)":             Gompertz{},
	"y=A+(B-A)/(1+exp((xmid-x)/scal))": FourParameter{},
	"y=Asym-Drop*exp(-exp(lrc)*x^pwr)": Weibull{},
	"y=a+b*x":                          Line{},
	"y=a/(1+exp(-k*(x-t0)))":           LogisticRate{},
	"y=a*exp(-exp(-k*(x-t0)))":         GompertzRate{},
	"y=a*(1-exp(-(x/b)^c))":            WeibullGrowth{},
	"y=a/(1+(x/b)^(-c))":               LogLogistic{},
	"y=a*(1+v*exp(-k*(x-t0)))^(-1/v)":  Richards{},
}

func familyOf(formula string) (Curve, bool) {
	c, ok := families[strings.ReplaceAll(strings.ReplaceAll(formula, " ", ""), "**", "^")]
	return c, ok
}

type points struct {
	Model          string
	X, Y           []float64
	Weight         []float64
	Weights        []float64 // another name of it
	Start1, Start2 []float64
}

func (p points) data() Data {
	if p.Weight == nil {
		p.Weight = p.Weights
	}
	return Data{X: p.X, Y: p.Y, Weight: p.Weight}
}

// certifiedProblem fits a NIST problem from the surroundings of each published start.
func certifiedProblem(f refcheck.File) ([]refcheck.Answer, error) {
	var p points
	if err := f.Decode(&p); err != nil {
		return nil, err
	}
	m, err := parseExpression(p.Model)
	if err != nil {
		return nil, err
	}
	var answers []refcheck.Answer
	for i, start := range [][]float64{p.Start1, p.Start2} {
		if start == nil {
			continue
		}
		label := fmt.Sprintf("start%d", i+1)
		fit, err := SearchAround(m, p.data(), start)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", label, err)
		}
		answers = append(answers, refcheck.Answer{Label: label, Got: certifiedTree(fit), Rules: certifiedRules})
	}
	if len(answers) == 0 {
		fit, err := searchWide(m, p.data())
		if err != nil {
			return nil, err
		}
		answers = append(answers, refcheck.Answer{Got: certifiedTree(fit), Rules: certifiedRules})
	}
	return answers, nil
}

var certifiedRules = []refcheck.Rule{
	{At: "certified/estimate", Digits: 8, Why: "the bar for parameters; the certified values hold 11 digits"},
	{At: "certified/standard_deviation", Digits: 6, Why: "the bar for standard errors"},
	{At: "correlation", Rel: 1e-7, Abs: 1e-8, Why: "printed with 8 decimals, so the small ones hold fewer digits"},
}

func certifiedTree(f *Fit) any {
	return map[string]any{
		"certified": map[string]any{
			"estimate":                    named(f.Names, f.Theta),
			"standard_deviation":          named(f.Names, f.SE),
			"residual_sum_of_squares":     f.RSS,
			"residual_standard_deviation": f.ResidualSD,
			"degrees_of_freedom":          f.DF,
			"n":                           f.N,
		},
		"derived":     map[string]any{"logLik": f.LogLik, "aic": f.AIC, "aicc": f.AICc, "bic": f.BIC},
		"correlation": f.Correlation(),
		"fitted":      f.Fitted,
	}
}

func named[T any](names []string, values []T) map[string]T {
	out := map[string]T{}
	for j, n := range names {
		out[n] = values[j]
	}
	return out
}

// fitFormula fits a product family by its own starts, any other formula from the given starts or a wide grid of them.
func fitFormula(p points) (*Fit, error) {
	if c, ok := familyOf(p.Model); ok {
		return FitCurve(c, p.data())
	}
	m, err := parseExpression(p.Model)
	if err != nil {
		return nil, err
	}
	for _, start := range [][]float64{p.Start1, p.Start2} {
		if start != nil {
			return SearchAround(m, p.data(), start)
		}
	}
	return searchWide(m, p.data())
}

// searchWide fits a formula that gives no start: from the best forty of a grid over round numbers and the ranges of x and y.
func searchWide(m Model, d Data) (*Fit, error) {
	lo, hi, _ := d.span()
	bottom, top := slices.Min(d.Y), slices.Max(d.Y)
	values := []float64{top, 1.5 * top, bottom, (lo + hi) / 2, hi, 0.01, 0.1, 0.5, 1, 3, -1, -5}
	p := len(m.Names())
	if p > 5 {
		return nil, fmt.Errorf("a formula of %d parameters needs a start", p)
	}
	type cell struct {
		theta []float64
		rss   float64
	}
	pr := newProblem(m, d)
	r := make([]float64, pr.n)
	var cells []cell
	for k := range int(math.Pow(float64(len(values)), float64(p))) {
		theta := make([]float64, p)
		for j := range theta {
			theta[j] = values[k%len(values)]
			k /= len(values)
		}
		if rss, ok := pr.residuals(theta, r); ok {
			cells = append(cells, cell{theta, rss})
		}
	}
	slices.SortStableFunc(cells, func(a, b cell) int { return cmp.Compare(a.rss, b.rss) })
	var starts [][]float64
	for _, c := range cells[:min(40, len(cells))] {
		starts = append(starts, c.theta)
	}
	return Search(m, d, starts)
}

// growthCurve compares everything that R reports of a growth curve.
func growthCurve(f refcheck.File) ([]refcheck.Answer, error) {
	var p points
	if err := f.Decode(&p); err != nil {
		return nil, err
	}
	fit, err := fitFormula(p)
	if err != nil {
		return nil, err
	}
	// The x to predict at stand among the expected values; they are input.
	var asked struct {
		Predict struct{ X []float64 }
	}
	if err := json.Unmarshal(f.Expected, &asked); err != nil {
		return nil, err
	}
	tree := map[string]any{
		"estimate": named(fit.Names, fit.Theta), "se": named(fit.Names, fit.SE), "vcov": fit.Covariance,
		"rss": fit.RSS, "residual_sd": fit.ResidualSD, "df_residual": fit.DF, "n": fit.N,
		"logLik": fit.LogLik, "aic": fit.AIC, "aicc": fit.AICc, "bic": fit.BIC, "fitted": fit.Fitted,
		"correlation": fit.Correlation(), "derived": derived(fit),
	}
	wald, err := fit.Wald(0.95)
	if err != nil {
		return nil, err
	}
	bounds := map[string][2]float64{}
	for j, n := range fit.Names {
		bounds[n] = [2]float64{wald[j].Lo, wald[j].Hi}
	}
	tree["wald_t_ci95"] = bounds
	predictions, err := fit.Predict(asked.Predict.X, 0.95)
	if err != nil {
		return nil, err
	}
	columns := map[string][]float64{}
	for _, q := range predictions {
		for name, v := range map[string]float64{"x": q.X, "fit": q.Mean.Value, "se_mean": q.Mean.SE, "mean_lo95": q.Mean.Lo,
			"mean_hi95": q.Mean.Hi, "obs_lo95": q.Obs.Lo, "obs_hi95": q.Obs.Hi} {
			columns[name] = append(columns[name], v)
		}
	}
	tree["predict"] = columns
	return []refcheck.Answer{{Got: tree, Rules: growthRules}}, nil
}

var growthRules = append(tighter("rss", "logLik", "aic", "aicc", "bic"),
	refcheck.Rule{At: "se", Rel: 1e-5, Why: "advice of the files"},
	refcheck.Rule{At: "vcov", Rel: 1e-5, Why: "advice of the files"})

func tighter(paths ...string) []refcheck.Rule {
	var rules []refcheck.Rule
	for _, p := range paths {
		rules = append(rules, refcheck.Rule{At: p, Rel: 1e-8, Why: "advice of the files, finer than their tolerance"})
	}
	return rules
}

// derived gives the quantities that the files call derived, as far as the family has them.
func derived(f *Fit) map[string]float64 {
	out := map[string]float64{}
	for name, share := range map[string]float64{"t10": 0.1, "t50": 0.5, "t90": 0.9, "x_half_asymptote": 0.5} {
		if at, err := f.AtShare(share, 0.95); err == nil {
			out[name] = at.Value
		}
	}
	switch c := f.Model().(type) {
	case Logistic:
		out["max_rate"] = c.MaxRate(f.Theta)
		out["x_inflection"] = f.Theta[1]
	case Gompertz:
		out["x_inflection"] = c.Inflection(f.Theta)
	}
	return out
}

// modelChoice fits the candidates that a file names and weighs them.
func modelChoice(f refcheck.File) ([]refcheck.Answer, error) {
	var p points
	if err := f.Decode(&p); err != nil {
		return nil, err
	}
	// Which curves are compared stands among the expected values; it is input.
	var asked struct {
		Models map[string]struct{ Model string }
	}
	if err := json.Unmarshal(f.Expected, &asked); err != nil {
		return nil, err
	}
	models := map[string]any{}
	var candidates []Scored
	for _, name := range slices.Sorted(maps.Keys(asked.Models)) {
		q := p
		q.Model = asked.Models[name].Model
		fit, err := fitFormula(q)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if fit.AICc == nil {
			return nil, fmt.Errorf("%s: no AICc", name)
		}
		candidates = append(candidates, Scored{Name: name, AICc: *fit.AICc})
		models[name] = map[string]any{"model": q.Model, "estimate": named(fit.Names, fit.Theta), "se": named(fit.Names, fit.SE),
			"rss": fit.RSS, "logLik": fit.LogLik, "aic": fit.AIC, "aicc": fit.AICc, "bic": fit.BIC}
	}
	ranked, best, err := Rank(candidates)
	if err != nil {
		return nil, err
	}
	delta, weight := map[string]float64{}, map[string]float64{}
	for _, r := range ranked {
		delta[r.Name], weight[r.Name] = r.Delta, r.Weight
	}
	tree := map[string]any{"models": models, "aicc_delta": delta, "akaike_weight": weight, "best": ranked[best].Name}
	return []refcheck.Answer{{Got: tree}}, nil
}
