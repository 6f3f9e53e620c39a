package thermal

import (
	"encoding/json"
	"math"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/interp"

	"vinetally/analytics/internal/refcheck"
)

// TestReferenceThermal checks degree-days against closed forms in 40 digits and published calculator cases, and the lines
// of development rate against R; the files say which.
func TestReferenceThermal(t *testing.T) {
	refcheck.Run(t, "analytics/thermal", map[string]refcheck.Handler{
		"degree-days from daily minimum and maximum":           degreeDaysByDay,
		"degree-day accumulation":                              degreeDaySeason,
		"linear regression of development rate on temperature": developmentLine,
		"common base temperature across starting stages":       commonBase,
		"monotone piecewise-cubic (PCHIP) interpolation":       monotoneCubic,
	})
}

var methods = map[string]Method{
	"average_floor_zero":              FlooredMean,
	"average_clip_both_to_thresholds": ClippedMean,
	"average_clip_upper_only":         CappedMean,
	"single_sine":                     Sine,
	"single_triangle":                 Triangle,
	"single_sine_vertical_cutoff":     SineStopping,
}

func upper(u *float64) float64 {
	if u == nil {
		return math.Inf(1)
	}
	return *u
}

func degreeDaysByDay(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct{ Days [][]*float64 }
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var rows []map[string]any
	for _, d := range in.Days {
		row := map[string]any{"tmin": *d[0], "tmax": *d[1], "lower": *d[2], "upper": d[3]}
		for name, method := range methods {
			sums, err := DegreeDays(Thresholds{*d[2], upper(d[3])}, method, []float64{*d[0]}, []float64{*d[1]})
			if err != nil {
				return nil, err
			}
			row[name] = sums[0]
		}
		rows = append(rows, row)
	}
	return []refcheck.Answer{{Got: map[string]any{"rows": rows}}}, nil
}

func degreeDaySeason(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Lower               float64
		Upper               *float64
		Tmin, Tmax, Targets []float64
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	cumulative := map[string][]float64{}
	for name, method := range methods {
		sums, err := DegreeDays(Thresholds{in.Lower, upper(in.Upper)}, method, in.Tmin, in.Tmax)
		if err != nil {
			return nil, err
		}
		cumulative[name] = sums
	}
	var reached []map[string]any
	for _, target := range in.Targets {
		row := map[string]any{"target": target}
		for name, sums := range cumulative {
			row[name] = nil
			if days, ok := Reached(sums, target); ok {
				row[name] = map[string]any{"day_index_1based": math.Ceil(days), "day_interpolated": days}
			}
		}
		reached = append(reached, row)
	}
	return []refcheck.Answer{{Got: map[string]any{"cumulative": cumulative, "reached": reached}}}, nil
}

func developmentLine(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		AirC []float64 `json:"temperature_c"`
		Days []float64
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	l, err := FitLine(in.AirC, in.Days)
	if err != nil {
		return nil, err
	}
	got := map[string]any{"intercept": l.Intercept, "slope": l.Slope, "se_intercept": l.InterceptSE, "se_slope": l.SlopeSE,
		"cov_intercept_slope": l.Covariance, "r_squared": l.RSquared, "residual_sd": l.ResidualSD, "df": l.DF,
		"base_temperature": l.BaseC, "se_base_temperature_delta": l.BaseSE, "degree_days": l.DegreeDays, "se_degree_days_delta": l.DegreeDaysSE,
		"base_temperature_fieller_ci95_t": nil, "degree_days_ci95_from_slope": nil}
	low, high, g, ok := l.BaseInterval(0.95)
	got["fieller_g"] = g
	if ok {
		got["base_temperature_fieller_ci95_t"] = []float64{low, high}
	}
	if low, high, ok := l.DegreeDaysInterval(0.95); ok {
		got["degree_days_ci95_from_slope"] = []float64{low, high}
	}
	var want struct {
		Predicted struct{ Temperature []float64 }
	}
	if err := json.Unmarshal(f.Expected, &want); err != nil {
		return nil, err
	}
	var rate, rateSE, days, daysSE []float64
	for _, at := range want.Predicted.Temperature {
		r, se := l.At(at)
		rate, rateSE = append(rate, r), append(rateSE, se)
		days, daysSE = append(days, 1/r), append(daysSE, se/(r*r))
	}
	got["predicted"] = map[string]any{"temperature": want.Predicted.Temperature, "rate": rate, "se_rate": rateSE, "days": days, "se_days_delta": daysSE}
	direct, err := FitDays(in.AirC, in.Days)
	if err != nil {
		return nil, err
	}
	got["direct_fit_of_days"] = map[string]any{"model": "days = D/(T - Tb), least squares on days", "D": direct.Theta[0], "Tb": direct.Theta[1],
		"se_D": direct.SE[0], "se_Tb": direct.SE[1], "rss": direct.RSS}
	return []refcheck.Answer{{Got: got, Rules: []refcheck.Rule{{At: "direct_fit_of_days", Rel: 1e-6, Why: "the file's own note: direct_fit_of_days rel 1e-6"}}}}, nil
}

func commonBase(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		AirC  []float64 `json:"temperature_c"`
		Days  []float64
		Stage []string
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var names []string
	var airC, days [][]float64
	at := map[string]int{}
	for i, name := range in.Stage {
		if _, seen := at[name]; !seen {
			at[name] = len(names)
			names, airC, days = append(names, name), append(airC, nil), append(days, nil)
		}
		airC[at[name]], days[at[name]] = append(airC[at[name]], in.AirC[i]), append(days[at[name]], in.Days[i])
	}
	c, err := FitCommonBase(airC, days)
	if err != nil {
		return nil, err
	}
	byName := func(values []float64) map[string]float64 {
		m := map[string]float64{}
		for i, name := range names {
			m[name] = values[i]
		}
		return m
	}
	return []refcheck.Answer{{Got: map[string]any{
		"base_temperature": c.BaseC, "se_base_temperature": c.BaseSE, "slope": byName(c.Slope), "se_slope": byName(c.SlopeSE),
		"degree_days": byName(c.DegreeDays), "se_degree_days_delta": byName(c.DegreeDaysSE), "rss": c.RSS, "df": c.DF,
		"f_test_of_common_base": map[string]any{"f": c.F, "df1": c.DF1, "df2": c.DF2, "p": c.P},
		"ancova_parallel_slope": map[string]any{"slope": c.ParallelSlope, "se": c.ParallelSlopeSE}}}}, nil
}

// monotoneCubic checks the library's curve under Rate against the definition that its name promises.
func monotoneCubic(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		X, Y []float64
		New  []float64 `json:"x_new"`
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var want struct {
		Where map[string][]float64 `json:"x_where_y_equals"`
	}
	if err := json.Unmarshal(f.Expected, &want); err != nil {
		return nil, err
	}
	var curve interp.FritschButland
	if err := curve.Fit(in.X, in.Y); err != nil {
		return nil, err
	}
	integral := 0.0
	where := map[string][]float64{}
	for i := range in.X[1:] {
		a, b := in.X[i], in.X[i+1]
		integral += quad.Fixed(curve.Predict, a, b, 3, quad.Legendre{}, 0) // exact for cubics
		for name := range want.Where {
			y, err := strconv.ParseFloat(name, 64)
			if err != nil {
				return nil, err
			}
			// Between its points the curve is monotone, so there is one crossing at most.
			if (in.Y[i]-y)*(in.Y[i+1]-y) < 0 {
				lo, hi := a, b
				for range 100 {
					if middle := (lo + hi) / 2; (curve.Predict(middle)-y)*(in.Y[i]-y) > 0 {
						lo = middle
					} else {
						hi = middle
					}
				}
				where[name] = append(where[name], lo)
			}
		}
	}
	var slopes, ys, ds []float64
	for _, x := range in.X {
		slopes = append(slopes, curve.PredictDerivative(x))
	}
	for _, x := range in.New {
		ys, ds = append(ys, curve.Predict(x)), append(ds, curve.PredictDerivative(x))
	}
	return []refcheck.Answer{{Got: map[string]any{"integral_over_range": integral, "slope_at_nodes": slopes, "y_new": ys,
		"derivative_new": ds, "x_where_y_equals": where}}}, nil
}
