package curve

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// coverage counts how often an interval was given and held the truth.
type coverage struct{ given, held int }

func (c *coverage) add(low, high *float64, truth float64) {
	if low == nil {
		return
	}
	c.given++
	if *low <= truth && truth <= *high {
		c.held++
	}
}

func (c coverage) percent() float64 { return 100 * float64(c.held) / float64(max(1, c.given)) }

// cover runs trials and returns the coverage of t10, t50 and t90, and of the band at the true t10, t50 and t90.
func cover(c conduct, trials int) (shares, band [3]coverage) {
	rng := rand.New(rand.NewPCG(2026, 11))
	scope := ScopePlant
	if c.plants > 1 {
		scope = ScopeCultivar
	}
	var truths [3]float64
	for i, p := range []float64{0.1, 0.5, 0.9} {
		truths[i] = c.truth(p)
	}
	for range trials {
		curve := c.answer(simulate(c, rng), Subject{Scope: scope, Stage: "red"})
		if curve == nil {
			continue
		}
		for i, truth := range truths {
			if x := []*Crossing{curve.T10, curve.T50, curve.T90}[i]; x != nil {
				shares[i].add(x.Low, x.High, truth)
			}
			nearest := curve.Line[0]
			for _, l := range curve.Line {
				if math.Abs(l.Days-truth) < math.Abs(nearest.Days-truth) {
					nearest = l
				}
			}
			band[i].add(nearest.Low, nearest.High, float64(c.fruit)*c.reached(nearest.Days))
		}
	}
	return shares, band
}

// answer is the curve of a trial, or nil.
func (c conduct) answer(s series, subject Subject) *Curve {
	origin := plantBook{origin: simulatedAt(0)}
	if c.by == EventTimes {
		all, known := s.times()
		if !known || s.setting(3) {
			return nil
		}
		e, err := fitEvents(s, all)
		if err != nil {
			return nil
		}
		return e.curve(subject, origin)
	}
	f, err := fit(s)
	if err != nil || f.falling() || f.unfinished() {
		return nil
	}
	return f.curve(subject, origin)
}

// TestIntervalCoverage: 300 trials at 90 % have a standard error of 1.7 %. The floor is two of them and the 2 % that a
// nominal level may miss. The ceiling is wide: with few fruit or rounds the intervals err on the safe side, and t90's are
// stretched to the counts.
func TestIntervalCoverage(t *testing.T) {
	const trials, floor, ceiling = 300, 84.5, 99.7
	for _, c := range []conduct{
		{name: "one plant, 60 fruit, perfect counts", plants: 1, fruit: 60, every: 3, seen: 1},
		{name: "one plant, 10 fruit, every other day", plants: 1, fruit: 10, every: 2, seen: 1},
		{name: "one plant, 16 fruit, every other day", plants: 1, fruit: 16, every: 2, seen: 1},
		{name: "one plant, 25 fruit, counts of 97 %", plants: 1, fruit: 25, every: 3, seen: 0.97},
		{name: "one plant, 60 fruit, weekly", plants: 1, fruit: 60, every: 7, seen: 0.97},
		{name: "one plant, 60 fruit, visited unevenly", plants: 1, fruit: 60, every: 4, seen: 0.97, uneven: true},
		{name: "one plant, 60 fruit, skewed", plants: 1, fruit: 60, every: 3, seen: 0.97, skewed: true},
		{name: "one plant, 200 fruit, skewed", plants: 1, fruit: 200, every: 3, seen: 0.97, skewed: true},
		{name: "three plants", plants: 3, fruit: 40, every: 3, seen: 0.97},
		{name: "four plants that differ", plants: 4, fruit: 40, every: 3, plantSD: 4, seen: 0.97},
		{name: "four plants, weekly, own days", plants: 4, fruit: 40, every: 7, plantSD: 4, seen: 0.97, offset: true},
		{name: "eight plants that differ", plants: 8, fruit: 40, every: 4, plantSD: 4, seen: 0.97},
		{name: "thirty plants that differ", plants: 30, fruit: 40, every: 4, plantSD: 4, seen: 0.97},
		{name: "eight plants, skewed", plants: 8, fruit: 40, every: 4, plantSD: 4, seen: 0.97, skewed: true},
		{name: "eighty plants, skewed", plants: 80, fruit: 40, every: 4, plantSD: 4, seen: 0.97, skewed: true},
		{by: EventTimes, name: "one plant, 60 fruit, perfect counts", plants: 1, fruit: 60, every: 3, seen: 1},
		{by: EventTimes, name: "one plant, 25 fruit, counts of 97 %", plants: 1, fruit: 25, every: 3, seen: 0.97},
		{by: EventTimes, name: "one plant, 60 fruit, weekly", plants: 1, fruit: 60, every: 7, seen: 0.97},
		{by: EventTimes, name: "one plant, 60 fruit, visited unevenly", plants: 1, fruit: 60, every: 4, seen: 0.97, uneven: true},
		{by: EventTimes, name: "one plant, 200 fruit, skewed", plants: 1, fruit: 200, every: 3, seen: 0.97, skewed: true},
		{by: EventTimes, name: "three plants", plants: 3, fruit: 40, every: 3, seen: 0.97},
		{by: EventTimes, name: "four plants, weekly, own days", plants: 4, fruit: 40, every: 7, plantSD: 4, seen: 0.97, offset: true},
		{by: EventTimes, name: "eight plants, skewed", plants: 8, fruit: 40, every: 4, plantSD: 4, seen: 0.97, skewed: true},
		{by: EventTimes, name: "eighty plants, skewed", plants: 80, fruit: 40, every: 4, plantSD: 4, seen: 0.97, skewed: true},
	} {
		t.Run(strings.TrimSpace(string(c.by)+" "+c.name), func(t *testing.T) {
			t.Parallel()
			shares, band := cover(c, trials)
			t.Logf("t10 %.1f, t50 %.1f, t90 %.1f %%; band there %.1f, %.1f, %.1f %%", shares[0].percent(), shares[1].percent(), shares[2].percent(),
				band[0].percent(), band[1].percent(), band[2].percent())
			for i, name := range []string{"t10", "t50", "t90"} {
				if got := shares[i].percent(); got < floor || got > ceiling {
					t.Errorf("90 %% interval of %s covers %.1f %%, want %v to %v", name, got, floor, ceiling)
				}
				if shares[i].given < trials*95/100 {
					t.Errorf("interval of %s given in %d of %d trials", name, shares[i].given, trials)
				}
				if got := band[i].percent(); got < floor {
					t.Errorf("90 %% band at %s covers %.1f %%, want %v", name, got, floor)
				}
			}
		})
	}
}

// TestUnfinishedSeasons stops trials while fruit still ripens: in how many of all trials is a t50 or t90 given whose
// interval misses the truth? Refusing is right there; being wrong with confidence may not happen more often than the level
// says. Among the few that do get an answer the share of wrong ones is larger: they are those that look finished.
func TestUnfinishedSeasons(t *testing.T) {
	const trials = 200
	for _, c := range []conduct{
		{name: "one plant, to day 92", plants: 1, fruit: 60, every: 3, seen: 0.97, until: 92},
		{name: "one plant, to day 100", plants: 1, fruit: 60, every: 3, seen: 0.97, until: 100},
		{name: "one plant, to day 105", plants: 1, fruit: 60, every: 3, seen: 0.97, until: 105},
		{name: "one plant, skewed, to day 95", plants: 1, fruit: 60, every: 3, seen: 0.97, until: 95, skewed: true},
		{name: "one plant, skewed, to day 105", plants: 1, fruit: 60, every: 3, seen: 0.97, until: 105, skewed: true},
		{name: "four plants, to day 105", plants: 4, fruit: 60, every: 3, seen: 0.97, until: 105, plantSD: 4},
		{name: "four plants, skewed, to day 95", plants: 4, fruit: 60, every: 3, seen: 0.97, until: 95, plantSD: 4, skewed: true},
		{name: "four plants, skewed, to day 102", plants: 4, fruit: 60, every: 3, seen: 0.97, until: 102, plantSD: 4, skewed: true},
		{by: EventTimes, name: "one plant, to day 92", plants: 1, fruit: 60, every: 3, seen: 0.97, until: 92},
		{by: EventTimes, name: "one plant, skewed, to day 95", plants: 1, fruit: 60, every: 3, seen: 0.97, until: 95, skewed: true},
		{by: EventTimes, name: "four plants, to day 92", plants: 4, fruit: 60, every: 3, seen: 0.97, until: 92, plantSD: 4},
		{by: EventTimes, name: "four plants, skewed, to day 95", plants: 4, fruit: 60, every: 3, seen: 0.97, until: 95, plantSD: 4, skewed: true},
	} {
		t.Run(strings.TrimSpace(string(c.by)+" "+c.name), func(t *testing.T) {
			t.Parallel()
			shares, _ := cover(c, trials)
			for i, name := range []string{"t10", "t50", "t90"} {
				wrong := 100 * float64(shares[i].given-shares[i].held) / trials
				t.Logf("%s given in %.0f %%, wrong in %.1f %% of all trials", name, 100*float64(shares[i].given)/trials, wrong)
				// 10 % and two standard errors of 200 trials.
				if wrong > 14.2 {
					t.Errorf("%s is wrong in %.1f %% of trials, want at most 10 with room for 200 trials", name, wrong)
				}
			}
		})
	}
}

// TestTrusses says what the interval of a single plant does not hold: fruit of one truss ripen together, so sixty fruit in
// ten trusses tell less of such plants in general than sixty fruit for themselves. The interval is one for this plant's own
// fruit.
func TestTrusses(t *testing.T) {
	c := conduct{plants: 1, fruit: 60, truss: 6, every: 3, seen: 0.97}
	const trials = 300
	rng := rand.New(rand.NewPCG(2026, 13))
	var own, general coverage
	for range trials {
		s, times := simulateFruit(c, rng)
		f, err := fit(s)
		if err != nil {
			continue
		}
		how, _ := f.spread(Subject{Scope: ScopePlant})
		x := f.crossingAt(0.5, time.Time{}, how)
		own.add(x.Low, x.High, median(times))
		general.add(x.Low, x.High, c.truth(0.5))
	}
	t.Logf("median of its own fruit %.1f %%, of such plants %.1f %%", own.percent(), general.percent())
	if own.percent() < 84.5 {
		t.Errorf("90 %% interval holds the median of the plant's own fruit in %.1f %%, want 84.5", own.percent())
	}
	if general.percent() > 84.5 {
		t.Errorf("holds the median of such plants in %.1f %% too: say so in interval.go", general.percent())
	}
}
