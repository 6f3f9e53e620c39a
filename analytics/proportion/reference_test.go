package proportion

import (
	"testing"

	"vinetally/analytics/internal/refcheck"
)

// TestReferenceProportion checks the intervals against R and SciPy; the files say which.
func TestReferenceProportion(t *testing.T) {
	refcheck.Run(t, "analytics/proportion", map[string]refcheck.Handler{
		"confidence interval for a proportion":    intervals,
		"difference of two proportions":           differences,
		"Student t, chi-squared, F, beta, normal": laws,
	})
}

func pair(i Interval) []float64 { return []float64{i.Low, i.High} }

func intervals(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Cells []struct {
			X, N  int
			Level float64
		}
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var rows []map[string]any
	for _, c := range in.Cells {
		row := map[string]any{"x": c.X, "n": c.N, "level": c.Level, "estimate": float64(c.X) / float64(c.N)}
		for name, method := range map[string]func(x, n int, level float64) (Interval, error){
			"wilson": Wilson, "wilson_continuity_corrected": WilsonCorrected, "clopper_pearson": ClopperPearson,
			"agresti_coull_unclipped": AgrestiCoull, "jeffreys": Jeffreys,
		} {
			i, err := method(c.X, c.N, c.Level)
			if err != nil {
				return nil, err
			}
			row[name] = pair(i)
		}
		rows = append(rows, row)
	}
	return []refcheck.Answer{{Got: map[string]any{"rows": rows}}}, nil
}

func differences(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct{ Cells [][]float64 }
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var rows []map[string]any
	for _, c := range in.Cells {
		d, err := Differ(int(c[0]), int(c[1]), int(c[2]), int(c[3]), c[4])
		if err != nil {
			return nil, err
		}
		row := map[string]any{"x1": c[0], "n1": c[1], "x2": c[2], "n2": c[3], "level": c[4], "difference": d.Estimate,
			"newcombe_method10": pair(d.Newcombe), "newcombe_method11_continuity": pair(d.NewcombeCorrected), "wald": pair(d.Wald),
			"z_pooled": nil, "p_z_pooled": nil, "fisher_exact_p_two_sided": d.FisherP}
		if d.Defined {
			row["z_pooled"], row["p_z_pooled"] = d.Z, d.P
		}
		rows = append(rows, row)
	}
	return []refcheck.Answer{{Got: map[string]any{"rows": rows}}}, nil
}
