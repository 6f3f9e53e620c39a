package curve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// flushesFound simulates trials and returns the share in which two flushes are found, and how far on average their middles
// lie from the truth.
func flushesFound(t *testing.T, c conduct, trials int) (share, off float64) {
	t.Helper()
	rng := rand.New(rand.NewPCG(2026, 12))
	found := 0
	for range trials {
		f, err := fit(simulate(c, rng))
		if err != nil {
			continue // refused for another reason: neither found nor a false alarm
		}
		if first, second, two := f.twoFlushes(); two {
			found++
			off += math.Abs(first-simulatedMiddle) + math.Abs(second-simulatedMiddle-c.laterDays)
		}
	}
	return float64(found) / float64(trials), off / float64(2*max(1, found))
}

// Two flushes are clear where their middles lie 40 days apart (from a tenth to nine tenths each takes 22) and the smaller
// one holds 24 fruit or more in all.
func TestTwoFlushesAreFound(t *testing.T) {
	for _, c := range []conduct{
		{name: "one plant, half and half", plants: 1, fruit: 60, every: 3, seen: 0.97, laterShare: 0.5, laterDays: 40},
		{name: "one plant, weekly", plants: 1, fruit: 60, every: 7, seen: 0.97, laterShare: 0.5, laterDays: 40},
		{name: "one plant, more later", plants: 1, fruit: 80, every: 3, seen: 0.97, laterShare: 0.7, laterDays: 40},
		{name: "one plant, visited unevenly", plants: 1, fruit: 60, every: 4, seen: 0.97, laterShare: 0.5, laterDays: 40, uneven: true},
		{name: "one plant, in trusses", plants: 1, fruit: 60, truss: 6, every: 3, seen: 0.97, laterShare: 0.5, laterDays: 40},
		{name: "four plants, weekly on own days", plants: 4, fruit: 40, every: 7, plantSD: 4, offset: true, seen: 0.97, laterShare: 0.4, laterDays: 40},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			share, off := flushesFound(t, c, 200)
			t.Logf("found in %.1f %%, middles out by %.1f days", 100*share, off)
			if share < 0.95 {
				t.Errorf("two flushes found in %.1f %%, want 95", 100*share)
			}
			if off > 5 {
				t.Errorf("middles out by %.1f days on average, want at most 5", off)
			}
		})
	}
}

func TestOneFlushIsNotTwo(t *testing.T) {
	for _, c := range []conduct{
		{name: "one plant", plants: 1, fruit: 60, every: 3, seen: 0.97},
		{name: "twelve fruit", plants: 1, fruit: 12, every: 3, seen: 0.97},
		{name: "fifteen fruit, visited unevenly", plants: 1, fruit: 15, every: 4, seen: 0.97, uneven: true},
		{name: "weekly", plants: 1, fruit: 60, every: 7, seen: 0.97},
		{name: "visited unevenly", plants: 1, fruit: 60, every: 4, seen: 0.97, uneven: true},
		{name: "skewed", plants: 1, fruit: 25, every: 3, seen: 0.97, skewed: true},
		{name: "a tenth overlooked", plants: 1, fruit: 60, every: 3, seen: 0.90},
		{name: "trusses of six", plants: 1, fruit: 60, truss: 6, every: 3, seen: 0.97},
		{name: "five trusses of twelve", plants: 1, fruit: 60, truss: 12, every: 3, seen: 0.97},
		{name: "two plants that differ much", plants: 2, fruit: 40, every: 4, plantSD: 8, seen: 0.97},
		{name: "four plants, weekly on own days", plants: 4, fruit: 40, every: 7, plantSD: 4, seen: 0.97, offset: true},
		{name: "eight plants, visited unevenly on own days", plants: 8, fruit: 40, every: 4, plantSD: 4, seen: 0.97, uneven: true, offset: true},
		{name: "eight plants, skewed", plants: 8, fruit: 40, every: 4, plantSD: 4, seen: 0.97, skewed: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			share, _ := flushesFound(t, c, 200)
			t.Logf("taken for two in %.1f %%", 100*share)
			if share > 0.02 {
				t.Errorf("one flush taken for two in %.1f %%, want at most 2", 100*share)
			}
		})
	}
}
