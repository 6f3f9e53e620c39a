package curve

import (
	"math"
	"testing"
)

// exactly is an exact count of a plant with so many fruit that ripen logistically about a day.
func exactly(s *series, plant int, fruit, middle, x float64) {
	reached := math.Round(fruit / (1 + math.Exp(-0.2*(x-middle))))
	s.obs = append(s.obs, observation{plant: plant, x: x, at: simulatedAt(x), reached: reached, stood: int(reached)})
	s.plants = max(s.plants, plant+1)
}

// TestWhoWasCountedWhen: four plants of very different crops that ripen about day 95. Whichever of them are counted on which
// day, the pooled curve is that of all of them counted together.
func TestWhoWasCountedWhen(t *testing.T) {
	crops := []float64{60, 58, 12, 10}
	cases := map[string]func(plant int, x float64) (float64, bool){
		"all together":            func(_ int, x float64) (float64, bool) { return x, true },
		"large and small in turn": func(p int, x float64) (float64, bool) { return x + 1.5*float64(p/2), true },
		"large ones gone early":   func(p int, x float64) (float64, bool) { return x, p > 1 || x < 105 },
		"small ones come late":    func(p int, x float64) (float64, bool) { return x, p < 2 || x > 85 },
		"one missed now and then": func(p int, x float64) (float64, bool) { return x, int(x)%4 != p },
	}
	for name, when := range cases {
		t.Run(name, func(t *testing.T) {
			var s series
			for x := 70.0; x <= 130; x += 3 {
				for p, fruit := range crops {
					if at, counted := when(p, x); counted {
						exactly(&s, p, fruit, 95, at)
					}
				}
			}
			sortObservations(s.obs)
			f, _, err := s.fitBalancing()
			if err != nil {
				t.Fatal(err)
			}
			t50, _, _ := f.crossing(0.5)
			if math.Abs(t50-95) > 0.3 || math.Abs(f.level()-35) > 0.5 {
				t.Errorf("half at day %.2f of %.2f fruit a plant, want day 95 of 35", t50, f.level())
			}
		})
	}
}

// TestLaterIsNotSmaller: a plant that ripens a fortnight after the others and is counted until it is done is not taken
// for a small one.
func TestLaterIsNotSmaller(t *testing.T) {
	var s series
	for x := 70.0; x <= 140; x += 3 {
		for p, middle := range []float64{92, 95, 97, 109} {
			if p == 3 || x < 118 {
				exactly(&s, p, 40, middle, x)
			}
		}
	}
	sortObservations(s.obs)
	f, _, err := s.fitBalancing()
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.level()-40) > 1.5 {
		t.Errorf("level %.1f, want about 40", f.level())
	}
}

// TestOneMistypedCount: wherever a count of a single flush is ten times too high or all but nothing, it is left out and the curve stays
// where it was.
func TestOneMistypedCount(t *testing.T) {
	var right series
	for x := 70.0; x <= 130; x += 3 {
		exactly(&right, 0, 40, 95, x)
	}
	want, _, err := right.fitBalancing()
	if err != nil {
		t.Fatal(err)
	}
	half, _, _ := want.crossing(0.5)
	tried := 0
	for i := range right.obs {
		for _, wrong := range []float64{right.obs[i].reached * 10, math.Floor(right.obs[i].reached / 10)} {
			if math.Abs(wrong-right.obs[i].reached) < 20 {
				continue // within what fruit in between might explain
			}
			tried++
			s := series{plants: 1, obs: append([]observation(nil), right.obs...)}
			s.obs[i].reached, s.obs[i].stood = wrong, int(wrong)
			s = s.consistent()
			if s.left != 1 {
				if i == len(s.obs)+s.left-1 && wrong > 40 {
					continue // the last count may be high: nothing after it says otherwise
				}
				t.Errorf("count %d as %v: %d counts left out, want 1", i, wrong, s.left)
				continue
			}
			f, _, err := s.fitBalancing()
			if err != nil {
				t.Errorf("count %d as %v: %v", i, wrong, err)
				continue
			}
			if at, _, _ := f.crossing(0.5); math.Abs(at-half) > 0.3 {
				t.Errorf("count %d as %v: half at day %.2f, want %.2f", i, wrong, at, half)
			}
		}
	}
	if tried < 10 {
		t.Errorf("only %d mistakes were tried", tried)
	}
}

// TestBracket: ten fruit of which none was red on day 97 and all on day 106.
func TestBracket(t *testing.T) {
	var s series
	for i, reached := range []float64{0, 0, 0, 0, 2, 6, 9, 10, 10, 10} {
		x := 85 + 3*float64(i)
		s.obs = append(s.obs, observation{x: x, at: simulatedAt(x), reached: reached, stood: int(reached)})
	}
	s.plants = 1
	f, _, err := s.fitBalancing()
	if err != nil {
		t.Fatal(err)
	}
	// P(none of 10 | a half) = 0.001: not by day 94. P(9 or more of 10 | a half) = 0.011, P(10 of 10) = 0.001: by day 106.
	if from, to := f.bracket(0.5, 1); from != 94 || to < 103 || to > 106 {
		t.Errorf("half between %v and %v, want 94 and 103 to 106", from, to)
	}
	// P(none of 10 | a tenth) = 0.35: that says nothing.
	if from, _ := f.bracket(0.1, 1); !math.IsInf(from, -1) {
		t.Errorf("a tenth from %v on, but none of ten tells nothing of a tenth", from)
	}
	if p := atMost(3, 10, 0.5); math.Abs(p-0.171875) > 1e-12 { // 176/1024
		t.Errorf("P(at most 3 of 10) = %v", p)
	}
}
