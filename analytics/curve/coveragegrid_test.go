package curve

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"
)

// TestCoverageGrid measures what the 90 % interval of t50 of a pooled curve covers at 4, 8 and 30 plants visited every 2, 4 and 7
// days, with counts that scatter little and with overdispersed ones: fruit of a truss ripen together, plants bear unlike
// numbers, and some counts are hurried.
//
// By default it is a small study of the cheap cells, with limits wide enough for its few trials. VINETALLY_COVERAGE_TRIALS=2000 runs
// every cell with so many trials and holds each to 87–93 %; the table in DEVELOPERS.md is its output.
func TestCoverageGrid(t *testing.T) {
	trials, full := 150, false
	if v := os.Getenv("VINETALLY_COVERAGE_TRIALS"); v != "" {
		n, err := strconv.Atoi(v)
		if err != nil || n < 100 {
			t.Fatalf("VINETALLY_COVERAGE_TRIALS is %q; give a number of trials, at least 100", v)
		}
		trials, full = n, true
	}
	for _, plants := range []int{4, 8, 30} {
		for _, every := range []float64{2, 4, 7} {
			for _, kind := range []struct {
				by        Method
				scattered bool
			}{{LeastSquares, false}, {LeastSquares, true}, {EventTimes, false}, {EventTimes, true}} {
				if !full && (plants == 30 || every == 2) {
					continue
				}
				c := conduct{by: kind.by, plants: plants, fruit: 40, every: every, plantSD: 4, seen: 0.97}
				c.name = fmt.Sprintf("%s, %d plants, every %v days", kind.by, plants, every)
				if kind.scattered {
					c.name += ", overdispersed"
					c.truss, c.cropCV, c.seen, c.seenSD = 5, 0.4, 0.93, 0.06
				}
				t.Run(c.name, func(t *testing.T) {
					t.Parallel()
					shares, _ := cover(c, trials)
					t50 := shares[1]
					t.Logf("t50 %.1f %% (t10 %.1f, t90 %.1f); given in %d of %d", t50.percent(), shares[0].percent(), shares[2].percent(), t50.given, trials)
					low, high := 87.0, 93.0
					if !full {
						room := 2.5 * 100 * math.Sqrt(0.09/float64(trials))
						low, high = low-room, math.Min(99.5, high+room)
					}
					if got := t50.percent(); got < low || got > high {
						t.Errorf("90 %% interval of t50 covers %.1f %%, want %.1f to %.1f", got, low, high)
					}
					if t50.given < trials*95/100 {
						t.Errorf("an interval is given in %d of %d trials", t50.given, trials)
					}
				})
			}
		}
	}
}
