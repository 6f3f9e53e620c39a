package yield_test

import (
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

// numbers are the parts of a tally that are plain sums.
type numbers struct {
	Fruits, Marketable, Culls, Unripe int
	MassG                             float64
	Estimated                         bool
	Weighed, Uncounted                int
}

func numbersOf(t yield.Tally) numbers {
	return numbers{t.Fruits, t.Marketable, t.Culls, t.Unripe, t.MassG, t.MassEstimated, t.Weighed, t.Uncounted}
}

func TestSeasonTally(t *testing.T) {
	const day = "2026-05-01"
	for _, c := range []struct {
		name       string
		pickings   []crop.Picking
		want       numbers
		mean, ripe string
	}{
		{"nothing", nil, numbers{}, "none", "none"},
		{"counted, not weighed", []crop.Picking{pick(a1, day, 4)}, numbers{Fruits: 4, Marketable: 4}, "none", "none"},
		{"counted and weighed", []crop.Picking{pick(a1, day, 4, grams(36))}, numbers{Fruits: 4, Marketable: 4, MassG: 36, Weighed: 4}, "9.000 g", "9.000 g"},
		{"culls", []crop.Picking{pick(a1, day, 4, grams(36)), pick(a1, day, 2, grams(6), cull)},
			numbers{Fruits: 6, Marketable: 4, Culls: 2, MassG: 42, Weighed: 6}, "7.000 g", "9.000 g"},
		{"unripe, one of them a cull", []crop.Picking{pick(a1, day, 3, stage("turning"), grams(21)), pick(a1, day, 1, stage("green"), cull), pick(a1, day, 1, grams(9))},
			numbers{Fruits: 5, Marketable: 4, Culls: 1, Unripe: 4, MassG: 30, Weighed: 4}, "7.500 g", "9.000 g"},
		{"after the ripe stage is ripe", []crop.Picking{pick(c1, day, 2, stage("soft"), grams(14)), pick(c1, day, 1, stage("green"), grams(1))},
			numbers{Fruits: 3, Marketable: 3, Unripe: 1, MassG: 15, Weighed: 3}, "5.000 g", "7.000 g"},
		{"weighed, not counted", []crop.Picking{pick(a1, day, notCounted, grams(80)), pick(a1, day, 2, grams(20))},
			numbers{Fruits: 2, Marketable: 2, MassG: 100, Weighed: 2, Uncounted: 1}, "10.000 g", "10.000 g"},
		{"part never weighed", []crop.Picking{pick(a1, day, 5), pick(a1, "2026-05-03", 2, grams(20))},
			numbers{Fruits: 7, Marketable: 7, MassG: 20, Weighed: 2}, "10.000 g", "10.000 g"},
		{"a bowl of two plants of a cultivar", []crop.Picking{pick(a1, day, 3, weighing("bowl")), pick(a2, day, 1, weighing("bowl"), grams(40))},
			numbers{Fruits: 4, Marketable: 4, MassG: 40, Estimated: true, Weighed: 4}, "10.000 g", "10.000 g"},
		{"a bowl of two cultivars says nothing of either", []crop.Picking{pick(a1, day, 3, weighing("bowl")), pick(b1, day, 1, weighing("bowl"), grams(40)), pick(b1, day, 1, grams(7))},
			numbers{Fruits: 5, Marketable: 5, MassG: 47, Estimated: true, Weighed: 5}, "7.000 g", "7.000 g"},
		{"a bowl with fruit nobody counted", []crop.Picking{pick(a1, day, 5, weighing("bowl"), grams(60)), pick(a1, day, notCounted, weighing("bowl"), grams(40)), pick(a1, day, 1, grams(11))},
			numbers{Fruits: 6, Marketable: 6, MassG: 111, Estimated: true, Weighed: 1, Uncounted: 1}, "11.000 g", "11.000 g"},
		{"a unit", []crop.Picking{pick(a1, day, 6, of(alder, lisbon), grams(60)), pick(a1, day, 1, grams(8))},
			numbers{Fruits: 7, Marketable: 7, MassG: 68, Weighed: 7}, "9.714 g", "9.714 g"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := yield.Of(trial(c.pickings...))
			if got := numbersOf(s.Tally); got != c.want {
				t.Errorf("\n got %+v\nwant %+v", got, c.want)
			}
			g, ok := s.MeanFruitMassG()
			wantMean(t, "mean of all", c.mean, g, ok)
			g, _, ok = s.RipeFruitMassG()
			wantMean(t, "mean of ripe marketable", c.ripe, g, ok)
		})
	}
}

// A bowl of two plants tells the mean of the cultivar, but not of either plant: each would get the other's.
func TestBowlOfTwoPlantsIsNoMeanOfOne(t *testing.T) {
	const day = "2026-05-01"
	s := yield.Of(trial(pick(a1, day, 3, weighing("bowl")), pick(a2, day, 1, weighing("bowl"), grams(40)), pick(a2, day, 2, grams(12))))
	g, fruits, ok := s.Cultivars[0].RipeFruitMassG()
	wantMean(t, "cultivar", "8.667 g", g, ok) // (40 + 12)/6
	if fruits != 6 {
		t.Errorf("cultivar rests on %d fruit, want 6", fruits)
	}
	g, _, ok = s.Plants[a1].RipeFruitMassG()
	wantMean(t, "A1", "none", g, ok)
	g, fruits, ok = s.Plants[a2].RipeFruitMassG()
	wantMean(t, "A2", "6.000 g", g, ok)
	if fruits != 2 {
		t.Errorf("A2 rests on %d fruit, want 2", fruits)
	}
	if got := s.Plants[a1]; got.MassG != 30 || got.Weighed != 3 {
		t.Errorf("A1 has %v g of %d fruit, want its share, 30 g of 3", got.MassG, got.Weighed)
	}
}

// A bowl of red and green fruit, or of marketable and culls, tells the mean of all, but not of ripe marketable ones.
func TestBowlOfSeveralKindsIsNoMeanOfOne(t *testing.T) {
	for name, other := range map[string]crop.Picking{
		"green":  pick(a1, "2026-05-01", 1, weighing("bowl"), stage("green")),
		"a cull": pick(a1, "2026-05-01", 1, weighing("bowl"), cull),
	} {
		s := yield.Of(trial(pick(a1, "2026-05-01", 3, weighing("bowl"), grams(40)), other, pick(a1, "2026-05-09", 2, grams(12)), pick(a1, "2026-05-05", 1, grams(9))))
		c := s.Cultivars[0]
		g, fruits, ok := c.RipeFruitMassG()
		wantMean(t, name, "7.000 g", g, ok) // (12 + 9)/3
		if first, last := c.RipeFruitDays(); fruits != 3 || first.String() != "2026-05-05" || last.String() != "2026-05-09" {
			t.Errorf("%s: the mean rests on %d fruit of %s to %s, want 3 of 2026-05-05 to 2026-05-09", name, fruits, first, last)
		}
		g, ok = c.MeanFruitMassG()
		wantMean(t, name+", all", "8.714 g", g, ok) // (40 + 12 + 9)/7
	}
}

func TestAddTakesAStageOffTheScale(t *testing.T) {
	scale := crop.DefaultScale()
	var tally yield.Tally
	p := pick(a1, "2026-05-01", 3, stage("mauve"), grams(30))
	tally.Add(&p, yield.Masses([]crop.Picking{p})[0], &scale)
	if want := (numbers{Fruits: 3, Marketable: 3, MassG: 30, Weighed: 3}); numbersOf(tally) != want {
		t.Errorf("got %+v, want %+v: neither ripe nor unripe", numbersOf(tally), want)
	}
	if g, _, ok := tally.RipeFruitMassG(); ok {
		t.Errorf("mean of ripe fruit is %v g, want none", g)
	}
}
