package yield_test

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

func TestGroups(t *testing.T) {
	s := yield.Of(trial(
		pick(a1, "2026-05-01", 2), pick(a2, "2026-05-01", 3), pick(a1, "2026-05-03", 1),
		pick(a1, "2026-05-02", 4, of(alder, lisbon)),
	))
	if len(s.Cultivars) != 3 {
		t.Fatalf("%d cultivars, want the three with plants", len(s.Cultivars))
	}
	g := s.Cultivars[0]
	if g.Cultivar.ID != alder || g.Plants != 2 || g.Fruits != 10 {
		t.Errorf("got %s with %d plants and %d fruit, want Alderling with 2 and 10", g.Cultivar.Name, g.Plants, g.Fruits)
	}
	var days []string
	for _, d := range g.Days {
		days = append(days, d.On.String())
	}
	if want := []string{"2026-05-01", "2026-05-02", "2026-05-03"}; !reflect.DeepEqual(days, want) || g.Days[0].Fruits != 5 {
		t.Errorf("days %v with %d fruit on the first, want %v with 5", days, g.Days[0].Fruits, want)
	}
	if s.Unattributed.Fruits != 4 || len(s.Plants) != 2 || s.Plants[a1].Fruits != 3 || s.Plants[a2].Fruits != 3 {
		t.Errorf("unattributed %d, plants %+v; want 4 of no plant, 3 of A1 and 3 of A2", s.Unattributed.Fruits, s.Plants)
	}
	if b := s.Cultivars[1]; b.Fruits != 0 || len(b.Days) != 0 || b.Plants != 1 {
		t.Errorf("Birchling: got %+v, want its plant and nothing picked", b)
	}
}

// Midnight differs: at 13:00 UTC of 1 May it is 14:00 in Lisbon and 1:00 of 2 May in Auckland. So a later instant may lie
// on an earlier day.
func TestDaysAcrossZones(t *testing.T) {
	s := yield.Of(trial(
		pick(a1, "2026-05-01T13:00:00Z", 1, of(alder, auckland)), // 2 May there
		pick(a1, "2026-05-01T14:00:00Z", 2),                      // 1 May
		pick(a1, "2026-05-01T15:00:00Z", 4, of(alder, auckland)), // 2 May
		pick(a1, "2026-05-01T23:30:00Z", 8),                      // 0:30 of 2 May in Lisbon's summer
		pick(a1, "2026-05-01", 16),                               // a day alone
	))
	days := s.Cultivars[0].Days
	if len(days) != 2 || days[0].On.String() != "2026-05-01" || days[0].Fruits != 18 || days[1].On.String() != "2026-05-02" || days[1].Fruits != 13 {
		t.Errorf("got %+v, want 18 fruit on 1 May and 13 on 2 May", days)
	}
}

// A unit picking may be of a cultivar all plants of which have left the season's records; its fruit were picked all the same.
func TestCultivarWithoutPlants(t *testing.T) {
	tr := trial(pick(a1, "2026-05-01", 2), pick(a1, "2026-05-01", 5, of(birch, lisbon)))
	tr.Plants = tr.Plants[:2]
	tr.Arrange()
	s := yield.Of(tr)
	if len(s.Cultivars) != 2 || s.Cultivars[1].Cultivar.ID != birch || s.Cultivars[1].Plants != 0 || s.Cultivars[1].Fruits != 5 || s.Fruits != 7 {
		t.Errorf("got %+v, want Alderling, and Birchling with 5 fruit of no plant", s.Cultivars)
	}
}

func TestPickingsOfNothingKnownAreLeftOut(t *testing.T) {
	stranger := crop.ID{0: 99}
	s := yield.Of(trial(pick(stranger, "2026-05-01", 5), pick(a1, "2026-05-01", 3, of(stranger, lisbon)), pick(a1, "2026-05-01", 1, func(p *crop.Picking) { p.PlantID = nil })))
	if s.Fruits != 0 || len(s.Plants) != 0 || s.Unattributed.Fruits != 0 {
		t.Errorf("got %+v, want nothing", s)
	}
}

// anyPickings draws pickings of every sort.
func anyPickings(rng *rand.Rand) []crop.Picking {
	all := make([]crop.Picking, rng.IntN(40))
	plants := []crop.ID{a1, a2, b1, c1}
	days := []string{"2026-05-01", "2026-05-01T08:00:00Z", "2026-05-01T20:00:00Z", "2026-05-02T11:30:00Z", "2026-05-04"}
	for i := range all {
		fruits := rng.IntN(6)
		if rng.IntN(8) == 0 {
			fruits = notCounted
		}
		p := pick(plants[rng.IntN(4)], days[rng.IntN(5)], fruits, stage([]string{"green", "red"}[rng.IntN(2)]))
		if rng.IntN(2) == 0 || fruits == notCounted {
			grams(float64(rng.IntN(500)) / 4)(&p) // quarters add up exactly
		}
		if rng.IntN(3) == 0 {
			weighing([]string{"bowl", "tray"}[rng.IntN(2)])(&p)
		}
		if rng.IntN(5) == 0 {
			cull(&p)
		}
		if rng.IntN(5) == 0 {
			of([]crop.ID{alder, birch, cedar}[rng.IntN(3)], []crop.ID{lisbon, auckland}[rng.IntN(2)])(&p)
		}
		all[i] = p
	}
	return all
}

// TestConservation: nothing is lost or made between pickings, days, plants, cultivars and season.
func TestConservation(t *testing.T) {
	for seed := range uint64(300) {
		pickings := anyPickings(rand.New(rand.NewPCG(seed, 51)))
		s := yield.Of(trial(pickings...))
		fruits, mass := 0, 0.0
		for _, p := range pickings {
			if p.Fruits != nil {
				fruits += *p.Fruits
			}
			if p.MassG != nil {
				mass += *p.MassG
			}
		}
		if s.Fruits != fruits || !near(s.MassG, mass) {
			t.Errorf("seed %d: %d fruit and %v g became %d and %v", seed, fruits, mass, s.Fruits, s.MassG)
		}
		plants := []yield.Tally{s.Unattributed}
		for _, p := range s.Plants {
			plants = append(plants, p)
		}
		wantSum(t, seed, "plants and units", plants, s.Tally)
		var groups []yield.Tally
		for _, g := range s.Cultivars {
			groups = append(groups, g.Tally)
			var days []yield.Tally
			for i, d := range g.Days {
				if i > 0 && !d.On.After(g.Days[i-1].On) {
					t.Errorf("seed %d: day %s comes after %s", seed, d.On, g.Days[i-1].On)
				}
				days = append(days, d.Tally)
			}
			wantSum(t, seed, "days", days, g.Tally)
		}
		wantSum(t, seed, "cultivars", groups, s.Tally)
	}
}

func wantSum(t *testing.T, seed uint64, of string, parts []yield.Tally, whole yield.Tally) {
	t.Helper()
	var sum numbers
	for _, p := range parts {
		sum.Fruits += p.Fruits
		sum.Marketable += p.Marketable
		sum.Culls += p.Culls
		sum.Unripe += p.Unripe
		sum.MassG += p.MassG
		sum.Estimated = sum.Estimated || p.MassEstimated
		sum.Weighed += p.Weighed
		sum.Uncounted += p.Uncounted
	}
	want := numbersOf(whole)
	if !near(sum.MassG, want.MassG) {
		t.Errorf("seed %d: %s weigh %v g, the whole %v", seed, of, sum.MassG, want.MassG)
	}
	sum.MassG = want.MassG
	if sum != want {
		t.Errorf("seed %d: %s add up to %+v, the whole is %+v", seed, of, sum, want)
	}
	if want.Marketable+want.Culls != want.Fruits || want.Weighed > want.Fruits || want.Unripe > want.Fruits {
		t.Errorf("seed %d: %+v contradicts itself", seed, want)
	}
}

func TestOrderOfPickingsDoesNotMatter(t *testing.T) {
	for seed := range uint64(100) {
		rng := rand.New(rand.NewPCG(seed, 52))
		pickings := anyPickings(rng)
		first := trial(pickings...)
		want := yield.Of(first)
		mixed := *first
		mixed.Pickings = append([]crop.Picking{}, first.Pickings...)
		rng.Shuffle(len(mixed.Pickings), func(i, j int) {
			mixed.Pickings[i], mixed.Pickings[j] = mixed.Pickings[j], mixed.Pickings[i]
		})
		mixed.Arrange()
		if got := yield.Of(&mixed); !reflect.DeepEqual(got.Plants, want.Plants) || !reflect.DeepEqual(got.Tally, want.Tally) || len(got.Cultivars) != len(want.Cultivars) {
			t.Fatalf("seed %d: another order gives\n%+v, want\n%+v", seed, got, want)
		}
	}
}

// TestSinglePlantOfAUnit: what was picked from a unit of one plant is that plant's, in number as in mass.
func TestSinglePlantOfAUnit(t *testing.T) {
	tr := trial(pick(b1, "2026-05-01", 2, grams(16)), pick(b1, "2026-05-02", 5, grams(40), of(birch, lisbon)), pick(a1, "2026-05-02", 3, of(alder, lisbon)))
	s := yield.Of(tr)
	if s.Plants[b1].Fruits != 7 || s.Plants[a1].Fruits != 0 || s.Unattributed.Fruits != 3 {
		t.Errorf("B1 has %d, A1 %d, no plant %d; want 7, 0, 3", s.Plants[b1].Fruits, s.Plants[a1].Fruits, s.Unattributed.Fruits)
	}
	for _, p := range yield.Plants(tr, at("2026-06-01T12:00:00Z")) {
		if p.Records.Plant.ID == b1 && (p.Tally.Fruits != 7 || p.Grams.G() != 56 || *p.FruitsAtMost != 7) {
			t.Errorf("B1: %d fruit, at most %d, %v g; want 7, 7, 56", p.Tally.Fruits, *p.FruitsAtMost, p.Grams.G())
		}
	}
}
