package curve

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// weekly is one plant of sixty fruit looked at every week, of which two hadn't reached the stage by the last count.
func weekly() series {
	s := series{plants: 1}
	reached := 0.0
	for i, n := range []float64{1, 4, 12, 21, 14, 6} {
		reached += n
		x := 60 + 7*float64(i)
		s.obs = append(s.obs, observation{x: x, at: simulatedAt(x), reached: reached, rest: &notReached{below: 60 - reached}})
	}
	return s
}

// TestEventTimesOfOnePlant: R 4.2.2, survival 3.5-3, survreg(Surv(l, r, type = "interval2") ~ 1, weights = n, dist = "logistic"), and
// dist = "extreme" of the negative times (as survival's TestLine).
func TestEventTimesOfOnePlant(t *testing.T) {
	s := weekly()
	all, known := s.times()
	if !known {
		t.Fatal("not all fruit are known")
	}
	e, err := fitEvents(s, all)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range e.fits {
		want := map[string]float64{"logistic": 78.5021784, "gompertz": 77.4148872}[f.name]
		if x, _ := f.Quantile(0.5); math.Abs(x-want) > 1e-5 {
			t.Errorf("%s: t50 is %v, want %v", f.name, x, want)
		}
	}
	// With the dispersion that the numbers have, which is less than multinomial, the interval of the logistic is that of scale 1 with
	// t's quantile: wider than the normal one of R, 76.6396 to 80.3698.
	if e.phi != 1 {
		t.Errorf("dispersion %v, want 1", e.phi)
	}
	c := e.curve(Subject{Scope: ScopePlant, Stage: "red"}, plantBook{origin: simulatedAt(0)})
	if c.T50 == nil || c.T50.Low == nil || *c.T50.Low > 76.6396 || *c.T50.High < 80.3698 {
		t.Errorf("t50 is %+v", c.T50)
	}
}

// TestFruitTakenUnripe: fruit that was taken before it could reach the stage says that it hadn't by then, and nothing else. Taken for
// fruit that never reaches it, or left out together with what it tells, it would make the rest late or early.
func TestFruitTakenUnripe(t *testing.T) {
	rng := rand.New(rand.NewPCG(2026, 51))
	var without, with misses
	for range 100 {
		s := series{plants: 1}
		times := conduct{fruit: 200}.times(rng)
		taken := make([]float64, len(times))
		for i := range taken {
			taken[i] = 75 + 60*rng.Float64() // whenever, whether ripe soon or not
		}
		for x := 60.0; x <= 135; x += 3 {
			o := observation{x: x, at: simulatedAt(x), rest: &notReached{}}
			for i, at := range times {
				switch {
				case at <= min(x, taken[i]):
					o.reached++
				case taken[i] <= x:
					o.rest.early++
				default:
					o.rest.below++
				}
			}
			s.obs = append(s.obs, o)
		}
		all, _ := s.times()
		e, err := fitEvents(s, all)
		if err != nil {
			t.Fatal(err)
		}
		x, _, _, _, _ := e.crossing(0.5, nil)
		with.add(x - simulatedMiddle)
		left, err := fitEvents(s, slices.DeleteFunc(all, func(c came) bool { return c.early }))
		if err != nil {
			t.Fatal(err)
		}
		x, _, _, _, _ = left.crossing(0.5, nil)
		without.add(x - simulatedMiddle)
	}
	t.Logf("censored: %s; left out: %s", &with, &without)
	if math.Abs(with.mean()) > 0.3 || without.mean() > -0.5 {
		t.Errorf("censored: %s; left out: %s", &with, &without)
	}
}

func TestEventTimesOfASeason(t *testing.T) {
	records, of := grow(grown{plants: 8, visits: 24, fruit: 40, cultivar: func(int) int { return 0 }}, rand.New(rand.NewPCG(2026, 52)))
	r := Clocks{}.EventTimes(records, of, places{})
	squares := Season(records, of, places{})
	if r.Method != EventTimes || squares.Method != LeastSquares {
		t.Errorf("methods %q and %q", r.Method, squares.Method)
	}
	compared := 0
	for _, c := range r.Curves {
		for _, x := range squares.Curves {
			if x.Subject != c.Subject || x.T50 == nil || c.T50 == nil || c.Stage == "green" {
				continue
			}
			compared++
			if math.Abs(x.T50.Days-c.T50.Days) > 2.5 {
				t.Errorf("%s %s of %s: t50 is day %.1f by event times, %.1f by least squares", c.Cultivar, c.Plant, c.Stage, c.T50.Days, x.T50.Days)
			}
			if c.Scope == ScopePlant && c.Shrunken == nil {
				t.Errorf("%s %s: no shrunken t50", c.Plant, c.Stage)
			}
		}
	}
	if compared < 18 {
		t.Errorf("%d curves compared; refused: %+v", compared, r.Refused)
	}
	if !bytes.Equal(encode(t, r), encode(t, Clocks{}.EventTimes(records, of, places{}))) {
		t.Error("two runs give different bytes")
	}
	slices.Reverse(records)
	slices.Reverse(of)
	if !bytes.Equal(encode(t, r), encode(t, Clocks{}.EventTimes(records, of, places{}))) {
		t.Error("another order of plants gives another answer")
	}
}

func TestEventTimesAreRefused(t *testing.T) {
	refusal := func(change func(r *crop.PlantRecords)) string {
		t.Helper()
		records, _ := grow(grown{plants: 1, visits: 24, fruit: 40}, rand.New(rand.NewPCG(2026, 53)))
		change(&records[0])
		for _, r := range (Clocks{}).EventTimes(records, books(records), places{}).Refused {
			if r.Scope == ScopePlant && r.Stage == "red" {
				return r.Reason
			}
		}
		return ""
	}
	if why := refusal(func(*crop.PlantRecords) {}); why != "" {
		t.Errorf("refused: %s", why)
	}
	if why := refusal(func(r *crop.PlantRecords) {
		for i := range r.Visits {
			delete(r.Visits[i].Counts, "green")
		}
	}); !strings.HasPrefix(why, "The last count doesn't tell all fruit") {
		t.Errorf("without green: %q", why)
	}
	if why := refusal(func(r *crop.PlantRecords) {
		for i := range r.Visits { // new fruit every day from the first red on
			r.Visits[i].Counts["green"] += max(0, 3*(i-10))
		}
	}); !strings.HasPrefix(why, "The plants still set fruit") {
		t.Errorf("with fruit still set: %q", why)
	}
	if why := refusal(func(r *crop.PlantRecords) {
		for i := range r.Visits {
			r.Visits[i].Counts = map[string]int{"green": 30, "breaker": 0, "turning": 0, "red": 10}
		}
		r.Pickings, r.Losses = nil, nil
	}); !strings.Contains(why, "hardly rises") {
		t.Errorf("ten red at every count: %q", why)
	}
	if why := refusal(func(r *crop.PlantRecords) { r.Visits = r.Visits[:12] }); why == "" {
		t.Error("half a season: no refusal")
	}
}

// TestLooseEventTimes: eight fruit in a few looks give t50 and no interval of 200 days (Student's t of one degree of freedom is 6.3).
func TestLooseEventTimes(t *testing.T) {
	s := series{plants: 1}
	for i, reached := range []float64{0, 0, 1, 1, 3, 5, 7, 7, 8, 8} {
		x := 60 + 5*float64(i)
		s.obs = append(s.obs, observation{x: x, at: simulatedAt(x), reached: reached, rest: &notReached{below: 8 - reached}})
	}
	all, _ := s.times()
	e, err := fitEvents(s, all)
	if err != nil {
		t.Fatal(err)
	}
	c := e.curve(Subject{Scope: ScopePlant, Stage: "red"}, plantBook{origin: simulatedAt(0)})
	if c.T50 == nil || c.T50.Low != nil || !slices.Contains(c.Warnings, tooLoose) {
		t.Errorf("t50 is %+v; warnings %q", c.T50, c.Warnings)
	}
}

// BenchmarkEventSeason is BenchmarkSeason by event times.
func BenchmarkEventSeason(b *testing.B) {
	records, books := grow(grown{plants: 1000, visits: 50, fruit: 60, cultivar: func(i int) int { return i % 10 }}, rand.New(rand.NewPCG(2026, 33)))
	b.ReportAllocs()
	curves := 0
	for b.Loop() {
		curves = len(Clocks{}.EventTimes(records, books, places{}).Curves)
	}
	b.ReportMetric(float64(curves), "curves")
}

// BenchmarkEventTimes is BenchmarkPlant by event times.
func BenchmarkEventTimes(b *testing.B) {
	records, books := grow(grown{plants: 1, visits: 25, fruit: 60}, rand.New(rand.NewPCG(2026, 31)))
	members := []plantBook{{records: &records[0], book: &books[0], origin: sown.Start(time.UTC), from: "sowing"}}
	b.ReportAllocs()
	for b.Loop() {
		if _, refusal := byEvents(Subject{Scope: ScopePlant, Stage: "red"}, members, members[0], 3, timeline{}); refusal != nil {
			b.Fatal(refusal.Reason)
		}
	}
}
