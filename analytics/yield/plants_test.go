package yield_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/yield"
)

var may20 = time.Date(2026, 5, 20, 12, 0, 0, 0, time.UTC)

func removed(t *crop.Trial, on string) *crop.Trial {
	day, err := crop.ParseDate(on)
	if err != nil {
		panic(err)
	}
	for i := range t.Plants {
		t.Plants[i].RemovedOn = &day
	}
	return t
}

// TestDaysToShares: 100 g in four pickings on days 120, 122, 130 and 140 from sowing; a cull of 50 g is in none of it.
func TestDaysToShares(t *testing.T) {
	picks := []crop.Picking{
		pick(a1, "2026-05-01", 1, grams(10)), pick(a1, "2026-05-03", 3, grams(39)), pick(a1, "2026-05-04", 5, grams(50), cull),
		pick(a1, "2026-05-11", 2, grams(2)), pick(a1, "2026-05-19", 5, grams(49)),
	}
	p := yield.Plants(removed(trial(picks...), "2026-05-20"), may20)[0]
	for _, c := range []struct {
		what string
		got  *float64
		want float64
	}{{"a tenth", p.To10, 120}, {"half", p.To50, 130}, {"nine tenths", p.To90, 138}} {
		if c.got == nil || *c.got != c.want {
			t.Errorf("days to %s: %v, want %v", c.what, c.got, c.want)
		}
	}
	if p.ShareOf != "marketable mass" || p.Tally.Fruits != 16 || p.Tally.Culls != 5 || p.PerWeek == nil || math.Abs(*p.PerWeek-16/(18.0/7)) > 1e-12 {
		t.Errorf("got %+v", p)
	}
	going := yield.Plants(trial(picks...), may20)[0]
	if going.To50 != nil || !strings.Contains(strings.Join(going.Warnings, " "), "may still be picked") || going.FirstFourWeeks != nil {
		t.Errorf("while it still bears: %+v", going)
	}
}

// TestEstimatedMass: 4 fruit at 10 g and 6 at 12 g were weighed in the week, so ten more are taken for 112 g. One fruit's variance is
// s² = 4·(10 − 11.2)² + 6·(12 − 11.2)² = 9.6, that of the ten 10·9.6 + 100·9.6/10 = 192. Two weighings have one degree of freedom,
// and the 0.95 quantile of Student's t with one is tan(0.45·π) = 6.3138 (a Cauchy distribution).
func TestEstimatedMass(t *testing.T) {
	picks := []crop.Picking{
		pick(a1, "2026-05-04", 4, grams(40)), pick(a2, "2026-05-05", 6, grams(72)), pick(a1, "2026-05-06", 10),
		pick(b1, "2026-05-06", 3), // no fruit of its cultivar was weighed
	}
	all := yield.Plants(trial(picks...), may20)
	g := all[0].Grams
	if g.Weighed != 40 || math.Abs(g.Estimated-112) > 1e-9 || math.Abs(g.Variance()-192) > 1e-9 || !g.Sure {
		t.Errorf("got %+v, want 40 g and 112 estimated with variance 192", g)
	}
	low, high := g.Interval()
	if half := math.Tan(0.45*math.Pi) * math.Sqrt(192); math.Abs(*low-(152-half)) > 1e-6 || math.Abs(*high-(152+half)) > 1e-6 {
		t.Errorf("interval %v to %v", *low, *high)
	}
	if b := all[2]; b.Grams.Missing != 3 || !strings.Contains(strings.Join(b.Warnings, " "), "3 fruit is missing") {
		t.Errorf("Birchling: %+v", b)
	}
	if low, _ := all[2].Grams.Interval(); low != nil {
		t.Error("a mass of which a part is missing has an interval")
	}
}

// TestEverythingIsInTheTables: fruit, culls and mass of the plants, of the cultivars' weeks and of the season's tally are the same fruit,
// whatever the order of the records.
func TestEverythingIsInTheTables(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var picks []crop.Picking
	for i := range 60 {
		change := []func(*crop.Picking){}
		if i%3 != 0 {
			change = append(change, grams(float64(10+rng.IntN(90))))
		}
		if i%7 == 0 {
			change = append(change, cull)
		}
		if i%11 == 0 {
			change = append(change, of(alder, lisbon))
		}
		day := crop.Date{Year: 2026, Month: 4, Day: 1}.AddDays(rng.IntN(60))
		picks = append(picks, pick([]crop.ID{a1, a2, b1, c1}[i%4], day.String(), 1+rng.IntN(9), change...))
	}
	tr := trial(picks...)
	plants := yield.Plants(tr, may20)
	cultivars := yield.Cultivars(tr, plants)
	season := yield.Of(tr)
	fruits, culls, mass := season.Unattributed.Fruits, season.Unattributed.Culls, season.Unattributed.MassG
	for _, p := range plants {
		fruits, culls, mass = fruits+p.Tally.Fruits, culls+p.Tally.Culls, mass+p.Grams.Weighed
	}
	if fruits != season.Fruits || culls != season.Culls || math.Abs(mass-season.MassG) > 1e-6 {
		t.Errorf("plants: %d fruit, %d culls, %v g; the season has %d, %d, %v", fruits, culls, mass, season.Fruits, season.Culls, season.MassG)
	}
	fruits, culls, mass = 0, 0, 0
	for _, c := range cultivars {
		for _, w := range c.Weeks {
			fruits, culls, mass = fruits+w.Fruits, culls+w.Culls, mass+w.Grams.Weighed
			if w.Fruits != w.Marketable+w.Culls {
				t.Errorf("week of %v: %d fruit are %d marketable and %d culls", w.Monday, w.Fruits, w.Marketable, w.Culls)
			}
		}
	}
	if fruits != season.Fruits || culls != season.Culls || math.Abs(mass-season.MassG) > 1e-6 {
		t.Errorf("weeks: %d fruit, %d culls, %v g; the season has %d, %d, %v", fruits, culls, mass, season.Fruits, season.Culls, season.MassG)
	}
	shuffled := trial(append([]crop.Picking(nil), tr.Pickings...)...)
	rng.Shuffle(len(shuffled.Pickings), func(i, j int) {
		shuffled.Pickings[i], shuffled.Pickings[j] = shuffled.Pickings[j], shuffled.Pickings[i]
	})
	shuffled.Arrange()
	again := yield.Plants(shuffled, may20)
	for i := range plants {
		if math.Abs(plants[i].Grams.G()-again[i].Grams.G()) > 1e-9 || !reflect.DeepEqual(plants[i].Warnings, again[i].Warnings) {
			t.Errorf("plant %d: %v g, in another order %v", i, plants[i].Grams.G(), again[i].Grams.G())
		}
	}
}

// TestWeighedOnce: pickings weighed together of which one has no count can't be shared out, and nothing is estimated beside their mass.
func TestWeighedOnce(t *testing.T) {
	tr := trial(pick(a1, "2026-05-04", 4, grams(40)), pick(a2, "2026-05-05", 6, grams(72)),
		pick(a1, "2026-05-06", notCounted, grams(120), weighing("w1")), pick(a1, "2026-05-06", 5, weighing("w1")))
	plants := yield.Plants(tr, may20)
	if g := plants[0].Grams; g.G() != 160 || g.Estimated != 0 || plants[0].Tally.MassG != 160 {
		t.Errorf("got %+v of a tally of %v g, want 160 g and nothing estimated", g, plants[0].Tally.MassG)
	}
	weeks := yield.Cultivars(tr, plants)[0].Weeks
	if g := weeks[0].Grams; g.G() != 232 || g.Estimated != 0 {
		t.Errorf("the week has %+v, want 232 g", g)
	}
}

// TestSplitPicking: twenty fruit that nobody weighed are as uncertain in one picking as in twenty.
func TestSplitPicking(t *testing.T) {
	weighed := []crop.Picking{pick(a1, "2026-05-04", 4, grams(40)), pick(a2, "2026-05-05", 6, grams(72))}
	one := yield.Plants(trial(append(weighed, pick(a1, "2026-05-06", 20))...), may20)[0].Grams
	split := weighed
	for range 20 {
		split = append(split, pick(a1, "2026-05-06", 1))
	}
	many := yield.Plants(trial(split...), may20)[0].Grams
	if math.Abs(one.G()-many.G()) > 1e-9 || math.Abs(one.Variance()-many.Variance()) > 1e-9 || one.Variance() == 0 {
		t.Errorf("in one picking %v g with variance %v, in twenty %v g with %v", one.G(), one.Variance(), many.G(), many.Variance())
	}
}

// TestPickedFromTheUnit: of nine fruit picked from the whole unit none to all are of each of its plants; of the cultivar they surely are.
func TestPickedFromTheUnit(t *testing.T) {
	tr := trial(pick(a1, "2026-05-04", 4, grams(40)), pick(a2, "2026-05-05", 6, grams(72)), pick(a1, "2026-05-06", 9, of(alder, lisbon)))
	all := yield.Plants(tr, may20)
	for i, want := range []struct{ low, high int }{{4, 13}, {6, 15}} {
		if p := all[i]; p.Tally.Fruits != want.low || p.FruitsAtMost == nil || *p.FruitsAtMost != want.high {
			t.Errorf("plant %d: %d to %v, want %+v", i, p.Tally.Fruits, p.FruitsAtMost, want)
		}
	}
	if words := strings.Join(all[0].Warnings, " "); !strings.Contains(words, "Between 4 and 13 fruit were picked from this plant") {
		t.Errorf("words: %q", words)
	}
	// 10 fruit on two plants are 5 a plant; with the nine of the unit 9.5.
	if words := strings.Join(yield.Cultivars(tr, all)[0].Warnings, " "); !strings.Contains(words, "with them 9.5 fruit a plant were picked, not 5.0") {
		t.Errorf("words: %q", words)
	}
	if other := all[2]; other.FruitsAtMost == nil || *other.FruitsAtMost != 0 {
		t.Errorf("a plant of another cultivar: at most %v", other.FruitsAtMost)
	}
	weighed := yield.Plants(trial(pick(a1, "2026-05-04", -1, grams(40))), may20)[0]
	if weighed.FruitsAtMost != nil || weighed.Tally.Uncounted != 1 {
		t.Errorf("weighed and not counted: %+v", weighed)
	}
}

// TestWordsOfOne: what is said of a cultivar's plants, of one and of several.
func TestWordsOfOne(t *testing.T) {
	tr := trial(pick(a1, "2026-05-01", 1), pick(b1, "2026-05-01", 1))
	words := map[string]string{}
	for _, c := range yield.Cultivars(tr, yield.Plants(tr, may20)) {
		words[fmt.Sprint(c.Plants)] = strings.Join(c.Warnings, " ")
	}
	for plants, want := range map[string]string{
		"1": "The means are of one plant and speak of it, not of the cultivar. The plant may still bear, so the means of fruit and mass may still rise.",
		"2": "The means are of 2 plants and speak of these plants, not of the cultivar. All 2 plants may still bear, so the means of fruit and mass may still rise.",
	} {
		if words[plants] != want {
			t.Errorf("of %s: got %q, want %q", plants, words[plants], want)
		}
	}
}
