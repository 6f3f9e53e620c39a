package germination

import (
	"testing"

	"vinetally/analytics/internal/refcheck"
)

// TestReferenceGermination checks the indices against R's germinationmetrics and exact arithmetic; the files say how.
func TestReferenceGermination(t *testing.T) {
	refcheck.Run(t, "analytics/germination", map[string]refcheck.Handler{
		"event-time statistics of counts per day (germination indices)": indices,
	})
}

func indices(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct {
		Counts, Time []float64
		Seeds        int
	}
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var counts []Count
	for i := range in.Counts {
		counts = append(counts, Count{in.Time[i], in.Counts[i]})
	}
	x := Of(counts, in.Seeds)
	return []refcheck.Answer{{Got: map[string]any{
		"final_percent": x.FinalPercent, "first_time": x.FirstTime, "last_time": x.LastTime, "mean_time": x.MeanTime, "variance_time": x.Variance,
		"se_mean_time": x.MeanTimeSE, "cv_time": x.CV, "mean_rate": x.MeanRate, "variance_rate": x.RateVariance, "se_rate": x.RateSE,
		"coefficient_of_velocity": x.Velocity, "t50_coolbear": x.T50Coolbear, "t50_farooq": x.T50, "t10_farooq": x.T10, "t90_farooq": x.T90,
		"speed_maguire": x.Maguire, "speed_accumulated_bradbeer": x.Bradbeer, "germination_index_melville": x.Melville,
		"germination_index_santana_ranal": x.SantanaRanal, "timson_index": x.Timson, "timson_khan_ungar": x.KhanUngar, "timson_labouriau": x.Labouriau,
		"uniformity_cug": x.Uniformity, "uncertainty_bits": x.Uncertainty, "synchrony_z": x.Synchrony,
	}}}, nil
}
