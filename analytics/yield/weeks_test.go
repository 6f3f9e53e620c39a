package yield_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

// TestWeeksOfAPlant: weeks begin on Mondays (ISO 8601), by the day of the place; 3 May 2026 was a Sunday.
func TestWeeksOfAPlant(t *testing.T) {
	tr := trial(
		pick(a1, "2026-05-03", 2, grams(20)), pick(a1, "2026-05-04", 3, grams(33)), pick(a1, "2026-05-20", 1, cull),
		pick(a1, "2026-05-03T23:30:00Z", 4), // half past midnight of Monday in Lisbon's summer
	)
	var got []string
	for _, w := range yield.Plants(tr, at("2026-06-01T12:00:00Z"))[0].Weeks {
		got = append(got, fmt.Sprintf("%s: %d, %d culls, %.1f g", w.Monday, w.Fruits, w.Culls, w.Grams.G()))
	}
	// Five fruit were weighed, 53 g; the seven that weren't are taken for 10.6 g each.
	want := []string{"2026-04-27: 2, 0 culls, 20.0 g", "2026-05-04: 7, 0 culls, 75.4 g", "2026-05-18: 1, 1 culls, 10.6 g"}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// TestWeeksAddUp: a plant's weeks are its pickings, and the weeks of a cultivar those of its plants and whole units.
func TestWeeksAddUp(t *testing.T) {
	for seed := range uint64(300) {
		tr := trial(anyPickings(rand.New(rand.NewPCG(seed, 53)))...)
		plants := yield.Plants(tr, at("2026-06-01T12:00:00Z"))
		byWeek := map[crop.ID]map[crop.Date]int{}
		for i := range plants {
			p := &plants[i]
			id := p.Records.Cultivar.ID
			if byWeek[id] == nil {
				byWeek[id] = map[crop.Date]int{}
			}
			fruits, culls, marketable, g := 0, 0, 0, 0.0
			for j, w := range p.Weeks {
				if w.Monday != w.Monday.Monday() || j > 0 && !w.Monday.After(p.Weeks[j-1].Monday) {
					t.Fatalf("seed %d: week %s", seed, w.Monday)
				}
				fruits, culls, marketable, g = fruits+w.Fruits, culls+w.Culls, marketable+w.Marketable, g+w.Grams.G()
				byWeek[id][w.Monday] += w.Fruits
			}
			if fruits != p.Tally.Fruits || culls != p.Tally.Culls || marketable != p.Tally.Marketable || fruits != culls+marketable || !near(g, p.Grams.G()) {
				t.Errorf("seed %d: weeks have %d fruit, %d marketable, %d culls, %v g; the plant %+v and %v g", seed, fruits, marketable, culls, g, p.Tally, p.Grams.G())
			}
		}
		for _, p := range tr.Pickings {
			if _, sure := tr.PlantOf(p.PlantID, &p.Unit, p.PickedAt); !sure && p.Fruits != nil {
				if byWeek[*p.Unit.CultivarID] == nil {
					byWeek[*p.Unit.CultivarID] = map[crop.Date]int{}
				}
				byWeek[*p.Unit.CultivarID][p.PickedAt.LocalDate().Monday()] += *p.Fruits
			}
		}
		for _, c := range yield.Cultivars(tr, plants) {
			for _, w := range c.Weeks {
				if byWeek[c.Cultivar.ID][w.Monday] != w.Fruits {
					t.Errorf("seed %d, %s, week of %s: %d fruit, of plants and units %d", seed, c.Cultivar.Name, w.Monday, w.Fruits, byWeek[c.Cultivar.ID][w.Monday])
				}
			}
		}
	}
}

func at(text string) time.Time {
	when, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return when
}
