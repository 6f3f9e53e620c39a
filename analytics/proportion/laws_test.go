package proportion

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"vinetally/analytics/internal/refcheck"
)

// laws are gonum's, on which the intervals and tests of this package and of others rest.
func laws(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		T       [][]float64 `json:"t_points"`
		TQ      [][]float64 `json:"t_quantile_points"`
		ChiSq   [][]float64 `json:"chisq_points"`
		F       [][]float64 `json:"f_points"`
		BetaQ   [][]float64 `json:"beta_quantile_points"`
		NormalQ []float64   `json:"normal_quantile_points"`
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	student := func(df float64) distuv.StudentsT { return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df} }
	var normal [][]float64
	for _, p := range in.NormalQ {
		normal = append(normal, []float64{p})
	}
	got := map[string]any{}
	for _, law := range []struct {
		name  string
		rows  [][]float64
		names []string
		of    func(r []float64) map[string]any
	}{
		{"t", in.T, []string{"t", "df"}, func(r []float64) map[string]any {
			return map[string]any{"lower": student(r[1]).CDF(r[0]), "two_sided": 2 * student(r[1]).CDF(-math.Abs(r[0]))}
		}},
		{"t_quantile", in.TQ, []string{"p", "df"}, func(r []float64) map[string]any {
			return map[string]any{"quantile": student(r[1]).Quantile(r[0])}
		}},
		{"chisq", in.ChiSq, []string{"x", "df"}, func(r []float64) map[string]any {
			return map[string]any{"upper_tail": distuv.ChiSquared{K: r[1]}.Survival(r[0])}
		}},
		{"f", in.F, []string{"f", "df1", "df2"}, func(r []float64) map[string]any {
			return map[string]any{"upper_tail": distuv.F{D1: r[1], D2: r[2]}.Survival(r[0])}
		}},
		{"beta_quantile", in.BetaQ, []string{"p", "a", "b"}, func(r []float64) map[string]any {
			return map[string]any{"quantile": quantile(distuv.Beta{Alpha: r[1], Beta: r[2]}, r[0])}
		}},
		{"normal_quantile", normal, []string{"p"}, func(r []float64) map[string]any {
			return map[string]any{"quantile": distuv.UnitNormal.Quantile(r[0])}
		}},
	} {
		answers := []map[string]any{}
		for _, r := range law.rows {
			if len(r) != len(law.names) {
				return nil, fmt.Errorf("%s: a row has %d numbers, want %d", law.name, len(r), len(law.names))
			}
			answer := law.of(r)
			for i, name := range law.names {
				answer[name] = r[i]
			}
			answers = append(answers, answer)
		}
		got[law.name] = answers
	}
	return []refcheck.Answer{{Got: got}}, nil
}
