package curve

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// misses are how far days that were found lie from the truth.
type misses struct {
	n, failed    int
	sum, squares float64
}

func (e *misses) add(x float64) { e.n, e.sum, e.squares = e.n+1, e.sum+x, e.squares+x*x }

func (e *misses) mean() float64 { return e.sum / float64(e.n) }
func (e *misses) root() float64 { return math.Sqrt(e.squares / float64(e.n)) }

func (e *misses) String() string {
	return fmt.Sprintf("mean error %.2f d, root mean square %.2f d, %d without", e.mean(), e.root(), e.failed)
}

func (e *misses) halfDay(s series, truth float64) {
	f, _, err := s.fitBalancing()
	if err != nil {
		e.failed++
		return
	}
	x, _, _ := f.crossing(0.5)
	e.add(x - truth)
}

// TestGivenUpCountsAreBounds simulates plants with 60 fruit, counted every fifth day, of which counts were given up: about the middle, at 85 %
// of what there was, or whenever more than 30 had reached the stage, until a fortnight before the end. Taken for numbers they make t50
// late by days. As bounds they don't, and they never tell less than nothing.
func TestGivenUpCountsAreBounds(t *testing.T) {
	const trials = 100
	for _, way := range []struct {
		name   string
		plants int
		low    func(x, reached float64) (float64, bool)
		late   float64 // what taking them for numbers costs, at least, days
		gain   float64 // root mean square of the bounds over that of leaving them out, at most
	}{
		{"at a share", 4, func(x, reached float64) (float64, bool) { return math.Floor(0.85 * reached), x >= 84 && x <= 106 }, 2, 1},
		{"at a number", 1, func(x, reached float64) (float64, bool) { return 30, reached > 30 && x < 122 }, 5, 0.9},
	} {
		rng := rand.New(rand.NewPCG(11, 5))
		var numbers, out, bounds misses
		for range trials {
			s, fruit := simulateFruit(conduct{plants: way.plants, fruit: 60, every: 5, seen: 1}, rng)
			truth := median(fruit)
			asNumbers, left := s, s
			asNumbers.obs, left.obs = nil, nil
			var open []bounded
			for _, o := range s.obs {
				low, gaveUp := way.low(o.x, o.reached)
				if !gaveUp {
					asNumbers.obs, left.obs = append(asNumbers.obs, o), append(left.obs, o)
					continue
				}
				open = append(open, bounded{plant: o.plant, at: o.at, x: o.x, low: low, high: math.Inf(1)})
				o.reached = low
				asNumbers.obs = append(asNumbers.obs, o)
			}
			asBounds := left
			asBounds.bounds = open
			numbers.halfDay(asNumbers, truth)
			out.halfDay(left, truth)
			bounds.halfDay(asBounds, truth)
		}
		words := fmt.Sprintf("given up %s: as numbers %s; left out %s; as bounds %s", way.name, &numbers, &out, &bounds)
		t.Log(words)
		if numbers.mean() < way.late || math.Abs(bounds.mean()) > 0.8 || bounds.root() > way.gain*out.root() || bounds.failed > out.failed {
			t.Error(words)
		}
	}
}

// TestBoundsThatSayNothing: a bound that the curve meets changes nothing, one that it doesn't moves it.
func TestBoundsThatSayNothing(t *testing.T) {
	s := simulate(conduct{plants: 2, fruit: 60, every: 4, seen: 1}, rand.New(rand.NewPCG(3, 4)))
	half := func(s series) float64 {
		f, _, err := s.fitBalancing()
		if err != nil {
			t.Fatal(err)
		}
		x, _, _ := f.crossing(0.5)
		return x
	}
	plain := half(s)
	at := s.obs[len(s.obs)/2]
	with := func(low, high float64) float64 {
		u := s
		u.bounds = []bounded{{plant: at.plant, at: at.at, x: at.x, low: low, high: high}}
		return half(u)
	}
	if x := with(at.reached-5, at.reached+5); x != plain {
		t.Errorf("t50 %v beside a bound that holds, %v without", x, plain)
	}
	if x := with(at.reached+20, math.Inf(1)); x >= plain {
		t.Errorf("t50 %v where more had come, %v without the bound", x, plain)
	}
	if x := with(0, at.reached-20); x <= plain {
		t.Errorf("t50 %v where fewer had come, %v without the bound", x, plain)
	}
}
