package curve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestDispersion: fruit that reach the stage for themselves scatter like Poisson, φ = 1 (a little more by its floor at 1);
// fruit that come in pairs scatter twice as much, in fives five times.
func TestDispersion(t *testing.T) {
	for _, together := range []float64{1, 2, 5} {
		rng := rand.New(rand.NewPCG(2026, 61))
		sum, n := 0.0, 0
		for range 200 {
			s := simulate(conduct{plants: 1, fruit: 150, every: 3, seen: 1}, rng)
			for i := range s.obs {
				s.obs[i].reached *= together
			}
			f, err := fit(s)
			if err != nil {
				t.Fatal(err)
			}
			phi, df := f.dispersion(f.plantShares(f.value))
			if df < 5 {
				t.Fatalf("%d degrees of freedom from 26 rounds", df)
			}
			sum += phi
			n++
		}
		if got := sum / float64(n); got < 0.85*together || got > 1.25*together {
			t.Errorf("fruit in groups of %v: φ is %.2f on average", together, got)
		}
	}
}

// TestIncrements is a plant with a curve that is known: each increment is what lies between two counts, joined where the
// curve expects less than a fruit, the rest joined to the last.
func TestIncrements(t *testing.T) {
	s := series{plants: 1}
	for i, n := range []float64{0, 0, 1, 3, 6, 10, 13, 15, 16, 16, 17} {
		x := float64(3 * i)
		s.obs = append(s.obs, observation{at: simulatedAt(x), x: x, reached: n})
	}
	f, err := fit(s)
	if err != nil {
		t.Fatal(err)
	}
	all := f.increments(f.plantShares(f.value))
	total := 0.0
	for i, inc := range all {
		total += inc.fruit
		if e := inc.expected(f.value, []float64{1}); e < 0.99 {
			t.Errorf("increment %d expects %.2f fruit, want 1 at least", i, e)
		}
		if i > 0 && inc.from != all[i-1].to {
			t.Errorf("increment %d begins on day %v, the one before ends on %v", i, inc.from, all[i-1].to)
		}
	}
	if !math.IsInf(all[0].from, -1) || all[len(all)-1].to != 30 || total != 17 {
		t.Errorf("increments run from %v to %v with %v fruit, want all 17 up to day 30", all[0].from, all[len(all)-1].to, total)
	}
	if got := freedom(all, 1); got != len(all)-1 {
		t.Errorf("%d degrees of freedom of %d increments of one plant", got, len(all))
	}
}
