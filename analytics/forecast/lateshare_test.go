package forecast

import "testing"

// TestLateShare: where nearly all of a few fruit are late the interval isn't everything from none to all, and it is one in any case.
func TestLateShare(t *testing.T) {
	if r := lateShare(2.7, 3); r.Low < 0.2 || r.High > 1 || r.Mean != 2.7/3 {
		t.Errorf("2.7 of 3: %+v", r)
	}
	for _, c := range [][2]float64{{0, 5}, {0.01, 5}, {5, 5}, {50, 100}, {100, 100}} {
		if r := lateShare(c[0], c[1]); !(0 <= r.Low && r.Low <= r.Mean && r.High <= 1) || r.Low > r.High {
			t.Errorf("%v: %+v", c, r)
		}
	}
}
