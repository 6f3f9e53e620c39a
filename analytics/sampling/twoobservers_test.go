package sampling

import (
	"testing"

	"vinetally/analytics/internal/refcheck"
)

func twoObservers(f refcheck.File) ([]refcheck.Answer, error) {
	var in struct{ Cells [][3]int }
	if err := f.Decode(&in); err != nil {
		return nil, err
	}
	var results []map[string]any
	for _, c := range in.Cells {
		o, err := Observed(c[0], c[1], c[2])
		if err != nil {
			return nil, err
		}
		low, high := o.Normal(0.95)
		lowUnseen, highUnseen := o.Interval(0.95)
		plain, ok := o.LincolnPetersen()
		first, second, seen := o.Detection()
		results = append(results, map[string]any{"n1": c[0], "n2": c[1], "m": c[2], "seen_by_either": o.Seen(), "chapman_N": o.N, "se": o.SE,
			"ci95_normal": []float64{low, high}, "ci95_lognormal_on_unseen": []float64{lowUnseen, highUnseen}, "lincoln_petersen": orNone(plain, ok),
			"detection_1": orNone(first, seen), "detection_2": orNone(second, seen)})
	}
	return []refcheck.Answer{{Got: map[string]any{"results": results}}}, nil
}

func TestTwoObserversRefusals(t *testing.T) {
	for _, bad := range [][3]int{{5, 4, 6}, {5, 4, 5}, {3, 3, -1}} {
		if _, err := Observed(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("%v: got no refusal", bad)
		}
	}
	if o, _ := Observed(0, 4, 0); o.Seen() != 4 {
		t.Errorf("got %d seen", o.Seen())
	} else if _, _, ok := o.Detection(); ok {
		t.Error("detection from an observer who saw nothing")
	}
}
