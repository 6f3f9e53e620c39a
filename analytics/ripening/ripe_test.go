package ripening

import (
	"math"
	"testing"
)

// TestHungEvenly: three fruit that ripened evenly over the three days up to yesterday, kept as two halves of that time, have hung for one, two and three whole days,
// and two of them for two days or longer.
func TestHungEvenly(t *testing.T) {
	s := newState()
	s.days = 4
	x := s.add(1)
	x.mean, x.begun, x.ended, x.nodes = 3, 0, 3, 2
	x.node[0], x.node[1] = node{age: 3.25, weight: 0.5}, node{age: 1.75, weight: 0.5}
	c := &chain{unripe: 1}
	for day, want := range []float64{0, 1, 1, 1, 0} {
		if got := s.ages(c, 10)[day]; math.Abs(got-want) > 1e-12 {
			t.Errorf("%v fruit have hung for %d days, want %v", got, day, want)
		}
	}
	if by := s.ages(c, 2); math.Abs(by[1]-1) > 1e-12 || math.Abs(by[2]-2) > 1e-12 {
		t.Errorf("the last of %v isn't all older ones", by)
	}
	if got := s.number(s.pastRipe(c, 2)); math.Abs(got-2) > 1e-12 {
		t.Errorf("%v fruit have hung for two days or longer, want 2", got)
	}
}
