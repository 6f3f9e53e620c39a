package survival

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"testing"

	"vinetally/analytics/internal/refcheck"
)

// TestReferenceSurvival checks fits against R's survival and npsurv; the files say how.
func TestReferenceSurvival(t *testing.T) {
	refcheck.Run(t, "analytics/survival", map[string]refcheck.Handler{
		"interval-censored parametric survival (AFT)":    aft,
		"Turnbull nonparametric MLE (interval-censored)": turnbull,
		"Kaplan-Meier":  kaplanMeier,
		"log-rank test": logRank,
	})
}

type tree = map[string]any

type looks struct {
	Left, Right  []*float64
	Weight       []float64
	Indicator    [][]float64 `json:"group_indicator"`
	Names        []string    `json:"group_names"`
	Distribution string
}

func (in looks) intervals() []Interval {
	var data []Interval
	for i := range in.Left {
		o := Interval{Right: math.Inf(1), Weight: 1} // times begin at 0, where null leaves one open to the left
		if in.Left[i] != nil {
			o.Left = *in.Left[i]
		}
		if in.Right[i] != nil {
			o.Right = *in.Right[i]
		}
		if in.Weight != nil {
			o.Weight = in.Weight[i]
		}
		if in.Indicator != nil {
			o.X = in.Indicator[i]
		}
		data = append(data, o)
	}
	return data
}

func aft(f refcheck.File) ([]refcheck.Answer, error) {
	var in looks
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var want struct {
		Quantiles map[string]map[string]struct{ P float64 }
		Survival  struct {
			Time    []float64
			ByGroup map[string][]float64 `json:"by_group"`
		} `json:"survival_at"`
		Weibull struct {
			ByGroup map[string]float64 `json:"scale_by_group"`
		}
	}
	if err := json.Unmarshal(f.Expected, &want); err != nil {
		return nil, err
	}
	family, known := map[string]Family{"weibull": Weibull, "lognormal": LogNormal, "loglogistic": LogLogistic}[in.Distribution]
	if !known {
		return nil, fmt.Errorf("the distribution %q is not one that the product has", in.Distribution)
	}
	a, err := FitAFT(in.intervals(), family)
	if err != nil {
		return nil, err
	}
	names := append([]string{"(Intercept)"}, in.Names...)
	coef, se := tree{}, tree{"log_scale": a.SE()[len(names)]}
	for i, n := range names {
		coef[n], se[n] = a.Coef[i], a.SE()[i]
	}
	quantiles, survival, scales := tree{}, tree{}, tree{}
	groups := map[string]bool{}
	for group := range want.Quantiles {
		groups[group] = true
	}
	for group := range want.Survival.ByGroup {
		groups[group] = true
	}
	for group := range want.Weibull.ByGroup {
		groups[group] = true
	}
	for group := range groups {
		var x []float64
		if group != "all" {
			v, err := strconv.ParseFloat(group, 64)
			if err != nil {
				return nil, err
			}
			x = []float64{v}
		}
		all := tree{}
		for name, w := range want.Quantiles[group] {
			q := a.Quantile(w.P, x)
			low, high := q.Interval(0.95)
			all[name] = tree{"p": w.P, "log_time": q.LogTime, "se_log_time": q.LogSE, "time": q.Time, "se_time_delta": q.SE, "lo95": low, "hi95": high}
		}
		quantiles[group] = all
		var s []float64
		for _, at := range want.Survival.Time {
			s = append(s, a.Survival(at, x))
		}
		survival[group] = s
		scales[group] = math.Exp(a.Location(x))
	}
	got := tree{"coef": coef, "log_scale": a.LogScale, "scale": a.Scale(), "se": se, "vcov": a.Covariance, "logLik": a.LogLik, "aic": a.AIC(),
		"quantiles": quantiles, "survival_at": tree{"time": want.Survival.Time, "by_group": survival},
		"weibull": tree{"shape": 1 / a.Scale(), "scale_by_group": scales}}
	return []refcheck.Answer{{Got: got, Rules: []refcheck.Rule{
		{At: "se", Rel: 1e-4, Why: "the file's own advice"}, {At: "logLik", Rel: 1e-8, Why: "the file's own advice"}}}}, nil
}

func turnbull(f refcheck.File) ([]refcheck.Answer, error) {
	var in looks
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	t, err := FitTurnbull(in.intervals())
	if err != nil {
		return nil, err
	}
	end := func(x float64) any {
		if math.IsInf(x, 1) {
			return nil
		}
		return x
	}
	var right []any
	for _, r := range t.Right {
		right = append(right, end(r))
	}
	low, high := t.Median()
	return []refcheck.Answer{{
		Got: tree{"support_left": t.Left, "support_right": right, "mass": t.Mass, "survival_after_interval": t.SurvivalAfter(), "logLik": t.LogLik,
			"median_interval": []any{low, end(high)}, "solution_unique": t.Unique},
		Rules: []refcheck.Rule{{At: "mass", Abs: 1e-7, Why: "closer than the file asks: EM is run to its end"}},
	}}, nil
}

func kaplanMeier(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct{ Time, Event []float64 }
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var events []Event
	for i := range in.Time {
		events = append(events, Event{in.Time[i], in.Event[i] == 1})
	}
	k, err := FitKaplanMeier(events)
	if err != nil {
		return nil, err
	}
	band := func(b Band) tree {
		var lo, hi []any
		for i, ok := range b.Defined {
			if ok {
				lo, hi = append(lo, b.Low[i]), append(hi, b.High[i])
			} else {
				lo, hi = append(lo, nil), append(hi, nil)
			}
		}
		return tree{"lo": lo, "hi": hi}
	}
	given := func(x float64, ok bool) any {
		if ok {
			return x
		}
		return nil
	}
	interval := func(b Band) []any {
		low, high, lowOK, highOK := k.MedianInterval(b)
		return []any{given(low, lowOK), given(high, highOK)}
	}
	var se []any
	for i, s := range k.Survival {
		se = append(se, given(k.SE[i], s > 0))
	}
	median, ok := k.Median()
	mean, meanSE := k.RestrictedMean()
	log, loglog := k.LogBand(0.95), k.LogLogBand(0.95)
	return []refcheck.Answer{{Got: tree{
		"event_time": k.Time, "n_risk": k.AtRisk, "n_event": k.Events, "survival": k.Survival, "se_greenwood": se,
		"log_ci95": band(log), "loglog_ci95": band(loglog), "nelson_aalen": k.NelsonAalen, "median": given(median, ok),
		"median_ci95_log": interval(log), "median_ci95_loglog": interval(loglog), "restricted_mean_to_last_time": mean, "se_restricted_mean": meanSE,
	}}}, nil
}

func logRank(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Time, Event []float64
		Group       []string
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	groups := map[string][]Event{}
	for i := range in.Time {
		groups[in.Group[i]] = append(groups[in.Group[i]], Event{in.Time[i], in.Event[i] == 1})
	}
	l, err := FitLogRank(groups)
	if err != nil {
		return nil, err
	}
	return []refcheck.Answer{{Got: tree{"chisq": l.ChiSq, "df": l.DF, "p": l.P, "observed": l.Observed, "expected": l.Expected, "group_order": l.Groups}}}, nil
}
