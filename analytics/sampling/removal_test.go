package sampling

import (
	"math"
	"math/rand/v2"
	"testing"

	"vinetally/analytics/internal/refcheck"
)

func orNone(v float64, known bool) any {
	if !known || math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return v
}

func depleted(d Depleted) map[string]any {
	return map[string]any{"N": d.N, "p": d.P, "se_N": orNone(d.SE, d.Known), "se_p": orNone(d.SEP, d.Known)}
}

func removal(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct{ Removals []int }
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	r, err := Passes(in.Removals)
	if err != nil {
		return nil, err
	}
	got := map[string]any{"k": len(in.Removals), "total_removed": r.Taken(), "x_statistic": r.X(), "seber_two_pass": nil, "seber_three_pass": nil}
	if two, err := r.TwoPasses(); err == nil {
		got["seber_two_pass"] = depleted(two.Depleted)
		got["seber_two_pass"].(map[string]any)["robson_regier_N"] = two.RobsonRegier
	}
	if three, err := r.ThreePasses(); err == nil {
		answer := depleted(three)
		if three.P == 1 {
			answer["se_N"] = 0 // the file's way of saying that nothing is left
		}
		got["seber_three_pass"] = answer
	}
	if zippin, err := r.Zippin(); err == nil {
		got["zippin_bias_corrected_integer"] = depleted(zippin)
	} else {
		got["zippin_status"] = "no finite estimate: removals do not decline enough (or everything came in the first pass)"
	}
	if best, err := r.MostLikely(); err == nil {
		low, high, bounded := best.Interval(0.95)
		got["mle_integer"] = depleted(best.Whole)
		answer := depleted(best.Depleted)
		answer["profile_lr_ci95"] = []any{low, orNone(high, bounded)}
		got["mle_real"] = answer
	}
	cs, other := r.CarleStrub()
	got["carle_strub"] = map[string]any{"N": cs.N, "p": cs.P, "se_N_zippin_formula": orNone(cs.SE, cs.Known), "se_p_zippin_formula": orNone(cs.SEP, cs.Known),
		"se_N_alternative": orNone(other, cs.Known)}
	return []refcheck.Answer{{Got: got}}, nil
}

// By simulation with a fixed seed: sixty fruit, each found in a pass with a chance of one half, three passes. The 95 % interval
// covers 93–97 % (the standard error of 2,000 trials is 0.5 points; large numbers are what it is for, so it needn't be exact).
func TestRemovalIntervalCovers(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	covered, given := 0, 0
	const trials = 2000
	for range trials {
		left, found := 60, make([]int, 3)
		for i := range found {
			for range left {
				if random.Float64() < 0.5 {
					found[i]++
				}
			}
			left -= found[i]
		}
		r, err := Passes(found)
		if err != nil {
			t.Fatal(err)
		}
		best, err := r.MostLikely()
		if err != nil {
			continue
		}
		given++
		if low, high, _ := best.Interval(0.95); low <= 60 && 60 <= high {
			covered++
		}
	}
	share := float64(covered) / float64(given)
	t.Logf("%.1f %% of %d", 100*share, given)
	if given < trials*99/100 || share < 0.93 || share > 0.97 {
		t.Errorf("covers %.3f of %d given", share, given)
	}
}

func TestRemovalRefusals(t *testing.T) {
	for _, bad := range [][]int{nil, {4}, {0, 0}, {3, -1}} {
		if _, err := Passes(bad); err == nil {
			t.Errorf("%v: got no refusal", bad)
		}
	}
	rising, err := Passes([]int{3, 9, 20})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := rising.Zippin(); err == nil {
		t.Error("rising passes: Zippin gives a number")
	}
	if _, err := rising.MostLikely(); err == nil {
		t.Error("rising passes: the likelihood gives a number")
	}
	if d, _ := rising.CarleStrub(); !(d.N >= 32) || math.IsInf(d.N, 0) {
		t.Errorf("rising passes: Carle and Strub give %v", d.N)
	}
}
