package curve

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// network is a season of two cultivars, some plants of which were never counted, or only by red fruit.
func network(t *testing.T) []crop.PlantRecords {
	t.Helper()
	records, _ := grow(grown{plants: 11, visits: 24, fruit: 40, cultivar: func(i int) int { return i % 2 }}, rand.New(rand.NewPCG(2026, 41)))
	records[3].Visits = nil
	for i := range records[4].Visits {
		records[4].Visits[i].Counts = map[string]int{"red": records[4].Visits[i].Counts["red"]}
	}
	return records
}

func encode(t *testing.T, r Result) []byte {
	t.Helper()
	text, err := json.Marshal(r) // refuses NaN and infinities
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestOrderOfPlantsAndRecordsDoesNotMatter(t *testing.T) {
	records := network(t)
	want := encode(t, Season(records, books(records), places{}))
	rng := rand.New(rand.NewPCG(2026, 42))
	for range 3 {
		mixed := slices.Clone(records)
		rng.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		for i := range mixed {
			r := &mixed[i]
			r.Visits, r.Pickings = slices.Clone(r.Visits), slices.Clone(r.Pickings)
			rng.Shuffle(len(r.Visits), func(i, j int) { r.Visits[i], r.Visits[j] = r.Visits[j], r.Visits[i] })
			rng.Shuffle(len(r.Pickings), func(i, j int) { r.Pickings[i], r.Pickings[j] = r.Pickings[j], r.Pickings[i] })
		}
		if got := encode(t, Season(mixed, books(mixed), places{})); !bytes.Equal(got, want) {
			t.Fatal("another order of plants and records gives another answer")
		}
	}
}

func TestSameInputSameBytes(t *testing.T) {
	records := network(t)
	if !bytes.Equal(encode(t, Season(records, books(records), places{})), encode(t, Season(records, books(records), places{}))) {
		t.Error("two runs give different bytes")
	}
}

// moved returns records with every moment changed, and the sowing moved by whole days.
func moved(records []crop.PlantRecords, days int, change func(crop.Moment) crop.Moment) []crop.PlantRecords {
	out := slices.Clone(records)
	day := sown.AddDays(days)
	for i := range out {
		r := &out[i]
		plant := *r.Plant
		plant.SownOn = &day
		r.Plant = &plant
		r.Visits, r.Pickings = slices.Clone(r.Visits), slices.Clone(r.Pickings)
		for j := range r.Visits {
			r.Visits[j].CountedAt = change(r.Visits[j].CountedAt)
		}
		for j := range r.Pickings {
			r.Pickings[j].PickedAt = change(r.Pickings[j].PickedAt)
		}
	}
	return out
}

// pairs walks the curves of two answers that must be of the same subjects, and refuse the same ones.
func pairs(t *testing.T, a, b Result, compare func(a, b *Curve)) {
	t.Helper()
	if len(a.Curves) == 0 || len(a.Curves) != len(b.Curves) || !slices.EqualFunc(a.Refused, b.Refused, func(x, y Refusal) bool { return x.Subject == y.Subject && x.Code == y.Code }) {
		t.Fatalf("%d curves and %d refusals became %d and %d", len(a.Curves), len(a.Refused), len(b.Curves), len(b.Refused))
	}
	for i := range a.Curves {
		if a.Curves[i].Subject != b.Curves[i].Subject || a.Curves[i].Family != b.Curves[i].Family {
			t.Fatalf("%+v %s became %+v %s", a.Curves[i].Subject, a.Curves[i].Family, b.Curves[i].Subject, b.Curves[i].Family)
		}
		compare(&a.Curves[i], &b.Curves[i])
	}
}

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance*math.Max(1, math.Abs(b)) }

func nearCrossing(t *testing.T, what Subject, got, want *Crossing, later time.Duration) {
	t.Helper()
	switch {
	case got == nil && want == nil:
	case got == nil || want == nil:
		t.Errorf("%+v: got %+v, want %+v", what, got, want)
	case got.At.Sub(want.At.Add(later)).Abs() > time.Minute || (got.Low == nil) != (want.Low == nil):
		t.Errorf("%+v: got %s, want %s", what, got.At, want.At.Add(later))
	case got.Low != nil && (!near(got.Days-*got.Low, want.Days-*want.Low, 1e-3) || !near(*got.High-got.Days, *want.High-want.Days, 1e-3)):
		t.Errorf("%+v: got interval %v to %v about %v, want %v to %v about %v", what, *got.Low, *got.High, got.Days, *want.Low, *want.High, want.Days)
	}
}

func TestLaterSeasonMovesEveryDayAlike(t *testing.T) {
	records := network(t)
	later := 400 * 24 * time.Hour
	after := moved(records, 400, func(m crop.Moment) crop.Moment { return crop.InstantMoment(m.At.Add(later)) })
	pairs(t, Season(records, books(records), places{}), Season(after, books(after), places{}), func(a, b *Curve) {
		nearCrossing(t, a.Subject, b.T10, a.T10, later)
		nearCrossing(t, a.Subject, b.T50, a.T50, later)
		nearCrossing(t, a.Subject, b.T90, a.T90, later)
		if a.T50 != nil && b.T50.Days != a.T50.Days {
			t.Errorf("%+v: t50 on day %v became %v", a.Subject, a.T50.Days, b.T50.Days)
		}
	})
}

func TestZoneChangesNothing(t *testing.T) {
	records := network(t)
	want := Season(records, books(records), places{})
	for _, zone := range []string{"Pacific/Auckland", "Pacific/Honolulu", "Asia/Kolkata", "America/Sao_Paulo"} {
		loc, err := time.LoadLocation(zone)
		if err != nil {
			t.Fatal(err)
		}
		there := moved(records, 0, func(m crop.Moment) crop.Moment { return m.In(loc) })
		pairs(t, want, Season(there, books(there), places{zone}), func(a, b *Curve) {
			nearCrossing(t, a.Subject, b.T10, a.T10, 0)
			nearCrossing(t, a.Subject, b.T50, a.T50, 0)
			nearCrossing(t, a.Subject, b.T90, a.T90, 0)
			if !near(b.AICc, a.AICc, 1e-6) || len(a.Observed) != len(b.Observed) {
				t.Errorf("%s, %+v: AICc %v over %d rounds became %v over %d", zone, a.Subject, a.AICc, len(a.Observed), b.AICc, len(b.Observed))
			}
		})
	}
}

func TestTwiceTheFruitAtTheSameTimes(t *testing.T) {
	records := network(t)
	twice := slices.Clone(records)
	for i := range twice {
		r := &twice[i]
		r.Visits, r.Pickings = slices.Clone(r.Visits), slices.Clone(r.Pickings)
		for j := range r.Visits {
			counts := map[string]int{}
			for stage, n := range r.Visits[j].Counts {
				counts[stage] = 2 * n
			}
			r.Visits[j].Counts = counts
		}
		for j := range r.Pickings {
			r.Pickings[j].Fruits = new(2 * *r.Pickings[j].Fruits)
		}
	}
	pairs(t, Season(records, books(records), places{}), Season(twice, books(twice), places{}), func(a, b *Curve) {
		if (a.T50 == nil) != (b.T50 == nil) || a.T50 != nil && !near(b.T50.Days, a.T50.Days, 1e-9) {
			t.Errorf("%+v: t50 %+v became %+v", a.Subject, a.T50, b.T50)
		}
		for j, p := range a.Parameters {
			want := p.Value
			if p.Name == "a" {
				want *= 2
			}
			if !near(b.Parameters[j].Value, want, 1e-8) {
				t.Errorf("%+v: %s of %v became %v, want %v", a.Subject, p.Name, p.Value, b.Parameters[j].Value, want)
			}
		}
	})
}

// TestRandomLedgers: whatever stands in the records, every stage of every subject gets one answer, a curve or a refusal,
// with finite numbers in order.
func TestRandomLedgers(t *testing.T) {
	t.Parallel()
	curves := 0
	for seed := range uint64(30) {
		curves += checkRandom(t, seed)
	}
	if curves < 25 {
		t.Errorf("%d curves came out of 30 random seasons; the test says little", curves)
	}
}

func FuzzSeason(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, seed uint64) { checkRandom(t, seed) })
}

func checkRandom(t *testing.T, seed uint64) (curves int) {
	t.Helper()
	for _, by := range []func([]crop.PlantRecords, []ledger.Book, crop.PlaceRefs) Result{Season, Clocks{}.EventTimes} {
		curves += checkRandomBy(t, seed, by)
	}
	return curves
}

func checkRandomBy(t *testing.T, seed uint64, by func([]crop.PlantRecords, []ledger.Book, crop.PlaceRefs) Result) (curves int) {
	t.Helper()
	records := randomRecords(rand.New(rand.NewPCG(seed, 43)))
	r := by(records, books(records), places{})
	if text := encode(t, r); !bytes.Equal(text, encode(t, by(records, books(records), places{}))) {
		t.Errorf("seed %d: two runs differ", seed)
	}
	answers := map[Subject]int{}
	for i := range r.Curves {
		answers[r.Curves[i].Subject]++
		checkCurve(t, seed, &r.Curves[i])
	}
	for _, x := range r.Refused {
		answers[x.Subject]++
		if x.Reason == "" || x.Code != crop.InsufficientData && x.Code != crop.NoFit {
			t.Errorf("seed %d: refusal %+v says nothing", seed, x)
		}
	}
	for s, n := range answers {
		if n != 1 {
			t.Errorf("seed %d: %+v has %d answers, want 1", seed, s, n)
		}
	}
	plants := 0
	for s := range answers {
		if s.Scope == ScopePlant {
			plants++
		}
	}
	if want := len(records) * len(crop.DefaultScale().Stages); plants != want {
		t.Errorf("seed %d: %d answers about plants, want %d", seed, plants, want)
	}
	return len(r.Curves)
}

func checkCurve(t *testing.T, seed uint64, c *Curve) {
	t.Helper()
	before := math.Inf(-1)
	for _, x := range []*Crossing{c.T10, c.T50, c.T90} {
		if x == nil {
			continue
		}
		if x.Days < before || x.Low != nil && (*x.Low > x.Days || *x.High < x.Days) {
			t.Errorf("seed %d, %+v: crossings out of order: %v after %v, interval %v to %v", seed, c.Subject, x.Days, before, *x.Low, *x.High)
		}
		before = x.Days
	}
	for i, l := range c.Line {
		if l.Value < 0 || i > 0 && l.Value < c.Line[i-1].Value-1e-9 || l.Low != nil && (*l.Low > l.Value || *l.High < l.Value || *l.Low < 0) {
			t.Errorf("seed %d, %+v: line point %d is %+v", seed, c.Subject, i, l)
		}
	}
	weights := 0.0
	for _, k := range c.Candidates {
		weights += k.Weight
	}
	if math.Abs(weights-1) > 1e-9 || c.RestsOn.Visits < minRounds || c.RestsOn.Fruits < minFruits {
		t.Errorf("seed %d, %+v: weights add up to %v, rests on %+v", seed, c.Subject, weights, c.RestsOn)
	}
}

// randomRecords are plants of one cultivar with anything from nonsense to order: counts of some stages or all, given up,
// at chance times, once with two thousand fruit on one plant, and pickings and losses that contradict them.
func randomRecords(rng *rand.Rand) []crop.PlantRecords {
	scale := crop.DefaultScale()
	cultivar := &crop.Cultivar{ID: crop.ID{0: 9}, Name: "Randomling"}
	plants := 1 + rng.IntN(5)
	most := []int{3, 12, 60, 2000}[rng.IntN(4)]
	orderly := rng.IntN(2) == 0
	out := make([]crop.PlantRecords, plants)
	for i := range out {
		r := &out[i]
		*r = crop.PlantRecords{Plant: &crop.Plant{ID: crop.ID{0: 1, 15: byte(i)}, Label: string(rune('A' + i))}, Cultivar: cultivar, Scale: &scale}
		switch rng.IntN(3) {
		case 0:
			r.Plant.SownOn = &sown
		case 1:
			r.Plant.TransplantedOn = &sown
		}
		at := sown.Start(time.UTC).AddDate(0, 0, 40+rng.IntN(30))
		middle, width := 25*rng.Float64()+20, 2+8*rng.Float64()
		for v := range rng.IntN(40) {
			at = at.Add(time.Duration(rng.IntN(96)) * time.Hour)
			days := at.Sub(sown.Start(time.UTC)).Hours()/24 - 40
			visit := crop.Visit{ID: crop.ID{0: 2, 14: byte(i), 15: byte(v)}, PlantID: r.Plant.ID, CountedAt: crop.InstantMoment(at), Counts: map[string]int{}, AtLeast: rng.IntN(25) == 0}
			for s, stage := range scale.Stages {
				n := rng.IntN(most + 1)
				if orderly && s == scale.Ripe() {
					n = int(float64(most)/(1+math.Exp((middle-days)/width))) + rng.IntN(2)
				}
				if orderly || rng.IntN(4) > 0 {
					visit.Counts[stage.Name] = n
				}
			}
			if len(visit.Counts) > 0 {
				r.Visits = append(r.Visits, visit)
			}
			if rng.IntN(6) == 0 && !orderly {
				r.Pickings = append(r.Pickings, crop.Picking{ID: crop.ID{0: 3, 14: byte(i), 15: byte(v)}, PlantID: &r.Plant.ID, PickedAt: crop.InstantMoment(at), Stage: scale.Stages[rng.IntN(4)].Name, Fruits: new(rng.IntN(most + 1)), Grade: crop.Marketable})
			}
			if rng.IntN(9) == 0 && !orderly {
				r.Losses = append(r.Losses, crop.Loss{ID: crop.ID{0: 4, 14: byte(i), 15: byte(v)}, PlantID: &r.Plant.ID, LostAt: crop.InstantMoment(at), Stage: scale.Stages[rng.IntN(4)].Name, Fruits: new(rng.IntN(most + 1)), Cause: crop.Dropped})
			}
		}
	}
	return out
}

func TestSeasonIsCultivarsThenPlants(t *testing.T) {
	records := network(t)
	whole := Season(records, books(records), places{})
	pooled, own := Cultivars(records, books(records), places{}), Plants(records, books(records), places{})
	parts := Result{Clock: whole.Clock, Method: LeastSquares, Curves: append(pooled.Curves, own.Curves...), Refused: append(pooled.Refused, own.Refused...)}
	if !bytes.Equal(encode(t, parts), encode(t, whole)) {
		t.Error("the pooled curves and the plants' own aren't those of the season")
	}
}

// TestSplitVisitChangesNothing: a count written in two rows of one time, the lower stages apart from the upper ones, is one count.
func TestSplitVisitChangesNothing(t *testing.T) {
	records := network(t)
	want := encode(t, Season(records, books(records), places{}))
	for i := range records {
		names := records[i].Scale.Names()
		var split []crop.Visit
		for _, v := range records[i].Visits {
			lower, upper := v, v
			lower.Counts, upper.Counts = map[string]int{}, map[string]int{}
			for s, name := range names {
				n, counted := v.Counts[name]
				switch {
				case counted && s < 2:
					lower.Counts[name] = n
				case counted:
					upper.Counts[name] = n
				}
			}
			upper.ID[2] = 1
			split = append(split, lower, upper)
		}
		records[i].Visits = split
	}
	if got := encode(t, Season(records, books(records), places{})); !bytes.Equal(got, want) {
		t.Errorf("split counts make other curves:\n%.300s\n%.300s", got, want)
	}
}
