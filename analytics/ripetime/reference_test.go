package ripetime_test

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/countdist"
	"vinetally/analytics/internal/refcheck"
	"vinetally/analytics/ripetime"
)

// TestReferenceRipeTime checks single fruit against 40 digits of mpmath, crossed with SciPy; the files say how.
func TestReferenceRipeTime(t *testing.T) {
	refcheck.Run(t, "analytics/ripetime", map[string]refcheck.Handler{
		"gamma and Erlang distribution":                                       gamma,
		"forecast of ripe fruit (independent fruit, conditional gamma times)": forecast,
		"probability that a red fruit is past ripe":                           pastRipe,
		"stage chain with exponential stage times (hypoexponential)":          stageChain,
	})
}

type tree = map[string]any

func gammaOf(shapeAndScale []float64) distuv.Gamma {
	return distuv.Gamma{Alpha: shapeAndScale[0], Beta: 1 / shapeAndScale[1]}
}

func rowsOf(n int, rows ...[][]float64) error {
	for _, all := range rows {
		for _, row := range all {
			if len(row) != n {
				return fmt.Errorf("a row has %d numbers, want %d", len(row), n)
			}
		}
	}
	return nil
}

// gamma is gonum's law, as Within uses it.
func gamma(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Points    [][]float64 `json:"cdf_points"`
		Quantiles [][]float64 `json:"quantile_points"`
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	if err := rowsOf(3, in.Points, in.Quantiles); err != nil {
		return nil, err
	}
	points, quantiles := []tree{}, []tree{}
	for _, r := range in.Points {
		g := gammaOf(r)
		points = append(points, tree{"shape": r[0], "scale": r[1], "x": r[2], "pdf": g.Prob(r[2]), "cdf": g.CDF(r[2]), "upper_tail": g.Survival(r[2])})
	}
	for _, r := range in.Quantiles {
		quantiles = append(quantiles, tree{"shape": r[0], "scale": r[1], "p": r[2], "quantile": gammaOf(r).Quantile(r[2])})
	}
	return []refcheck.Answer{{Got: tree{"cdf": points, "quantiles": quantiles}}}, nil
}

func forecast(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Count    map[string]int
		Gamma    map[string][]float64 `json:"time_to_red_gamma_shape_scale"`
		Waited   map[string]float64   `json:"days_already_waited"`
		Horizons []float64
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var want struct{ Forecast []map[string]json.RawMessage }
	if err := json.Unmarshal(f.Expected, &want); err != nil {
		return nil, err
	}
	days := []tree{}
	for i, ahead := range in.Horizons {
		chances := tree{}
		var fruit []countdist.Distribution
		for stage, n := range in.Count {
			g, known := in.Gamma[stage]
			if !known || len(g) != 2 {
				return nil, fmt.Errorf("the stage %q has no shape and scale", stage)
			}
			p := ripetime.Within(gammaOf(g), in.Waited[stage], ahead)
			chances[stage] = p
			fruit = append(fruit, countdist.Binomial(n, p))
		}
		d := countdist.Sum(fruit...)
		day := tree{"days_ahead": ahead, "probability_red": chances, "expected_red": d.Mean(), "variance_red": d.Variance()}
		if i < len(want.Forecast) {
			for key := range want.Forecast[i] {
				if level, is := strings.CutPrefix(key, "interval"); is {
					percent, err := strconv.ParseFloat(level, 64)
					if err != nil {
						return nil, err
					}
					tail := (100 - percent) / 200
					day[key] = []int{d.Quantile(tail), d.Quantile(1 - tail)}
				} else if least, is := strings.CutPrefix(key, "probability_at_least_"); is {
					n, err := strconv.Atoi(least)
					if err != nil {
						return nil, err
					}
					day[key] = d.AtLeast(n)
				}
			}
		}
		days = append(days, day)
	}
	return []refcheck.Answer{{Got: tree{"forecast": days}}}, nil
}

func pastRipe(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct{ Rows [][]float64 }
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	if err := rowsOf(6, in.Rows); err != nil {
		return nil, err
	}
	rows := []tree{}
	for _, r := range in.Rows {
		day, err := ripetime.TurnedBetween(distuv.Weibull{K: r[0], Lambda: r[1]}, r[2], r[3])
		if err != nil {
			return nil, err
		}
		now := r[4]
		rows = append(rows, tree{"weibull_shape": r[0], "weibull_scale": r[1], "not_red_at": r[2], "red_by": r[3], "now": now, "keeping_days": r[5],
			"probability_past_ripe": day.PastRipe(now, r[5]), "expected_day_red": day.Mean(), "median_day_red": day.Median(), "expected_days_red_so_far": now - day.Mean()})
	}
	return []refcheck.Answer{{Got: tree{"rows": rows}}}, nil
}

func stageChain(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Rates []float64 `json:"rates_per_day"`
		T     []float64
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	c, err := ripetime.NewChain(in.Rates)
	if err != nil {
		return nil, err
	}
	occupancy := [][]float64{}
	for _, t := range in.T {
		occupancy = append(occupancy, c.Occupancy(t))
	}
	return []refcheck.Answer{{Got: tree{"occupancy": occupancy, "mean_time_to_last": c.Mean(), "variance_time_to_last": c.Variance()}}}, nil
}
