package forecast_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/simulate"
)

// grown is a simulated trial and a moment in the middle of it.
func grown(conduct string, seed uint64) (*crop.Trial, time.Time) {
	c, ok := simulate.Named(conduct)
	if !ok {
		panic(conduct)
	}
	w := simulate.New(c, seed)
	return w.Trial, w.Start.AddDate(0, 0, 112).Add(20 * time.Hour)
}

// clone has its own lists; plants aren't copied deeply.
func clone(t *crop.Trial) *crop.Trial {
	u := *t
	u.Plants, u.Visits, u.Pickings, u.Losses = slices.Clone(t.Plants), slices.Clone(t.Visits), slices.Clone(t.Pickings), slices.Clone(t.Losses)
	u.Temperatures, u.Places = slices.Clone(t.Temperatures), slices.Clone(t.Places)
	return &u
}

// TestSameInputSameBytes: the forecast doesn't depend on chance or on how many processors work at it.
func TestSameInputSameBytes(t *testing.T) {
	trial, asOf := grown("two cultivars", 3)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	want := ""
	for _, processors := range []int{1, 4, 4} {
		runtime.GOMAXPROCS(processors)
		f := forecastOf(t, trial, asOf)
		got := numbersOf(t, f) + strings.Join(f.Warnings, "\n")
		if want == "" {
			want = got
		}
		if got != want {
			t.Fatalf("with %d processors another forecast%s", processors, firstDifference(got, want))
		}
	}
}

func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(g), len(w)) {
		if g[i] != w[i] {
			return ": " + strings.Join(g[max(0, i-3):i+1], " ") + ", want " + w[i]
		}
	}
	return ", one being longer"
}

// TestOrderOfRecords: in which order records were handed in changes nothing.
func TestOrderOfRecords(t *testing.T) {
	trial, asOf := grown("two cultivars", 4)
	want := numbersOf(t, forecastOf(t, trial, asOf))
	rng := rand.New(rand.NewPCG(1, 2))
	u := clone(trial)
	rng.Shuffle(len(u.Visits), func(i, j int) { u.Visits[i], u.Visits[j] = u.Visits[j], u.Visits[i] })
	rng.Shuffle(len(u.Pickings), func(i, j int) { u.Pickings[i], u.Pickings[j] = u.Pickings[j], u.Pickings[i] })
	rng.Shuffle(len(u.Losses), func(i, j int) { u.Losses[i], u.Losses[j] = u.Losses[j], u.Losses[i] })
	rng.Shuffle(len(u.Temperatures), func(i, j int) { u.Temperatures[i], u.Temperatures[j] = u.Temperatures[j], u.Temperatures[i] })
	rng.Shuffle(len(u.Plants), func(i, j int) { u.Plants[i], u.Plants[j] = u.Plants[j], u.Plants[i] })
	u.Arrange()
	if got := numbersOf(t, forecastOf(t, u, asOf)); got != want {
		t.Errorf("in another order another forecast%s", firstDifference(got, want))
	}
}

// TestVisitInParts: a count written in rows, by stage or by truss, is one count.
func TestVisitInParts(t *testing.T) {
	trial, asOf := grown("steady", 5)
	want := forecastOf(t, trial, asOf)
	parts := map[string]func(v crop.Visit) []crop.Visit{
		"by stage": func(v crop.Visit) []crop.Visit {
			a, b := v, v
			a.Counts = map[string]int{"green": v.Counts["green"]}
			b.Counts = map[string]int{"breaker": v.Counts["breaker"], "turning": v.Counts["turning"], "red": v.Counts["red"]}
			return []crop.Visit{a, b}
		},
		"by truss": func(v crop.Visit) []crop.Visit {
			all := make([]crop.Visit, 3)
			for i := range all {
				all[i] = v
				all[i].Truss, all[i].TrussesTotal, all[i].Counts = new(i+1), new(3), map[string]int{}
				for stage, n := range v.Counts {
					all[i].Counts[stage] = (n + i) / 3 // sums to n
				}
			}
			return all
		},
	}
	for name, split := range parts {
		u := clone(trial)
		u.Visits = nil
		for _, v := range trial.Visits {
			for k, row := range split(v) {
				row.ID[0] = byte(k + 1)
				u.Visits = append(u.Visits, row)
			}
		}
		u.Arrange()
		got := forecastOf(t, u, asOf)
		if a, b := numbersOf(t, got), numbersOf(t, want); a != b {
			t.Errorf("rows %s: another forecast%s", name, firstDifference(a, b))
		}
	}
}

// TestZones: the zone that times are written in, that of the place and that of the moment asked for change no number. Everything a week
// later is the same forecast a week later.
func TestZones(t *testing.T) {
	trial, asOf := grown("swinging", 6)
	want := forecastOf(t, trial, asOf)
	far := time.FixedZone("", -7*60*60)
	u := clone(trial)
	for i := range u.Visits {
		u.Visits[i].CountedAt = crop.InstantMoment(u.Visits[i].CountedAt.At.In(far))
	}
	for i := range u.Places {
		u.Places[i].TimeZone = "Australia/Adelaide"
	}
	for i := range u.Temperatures {
		u.Temperatures[i].MeasuredAt = u.Temperatures[i].MeasuredAt.In(far)
	}
	u.Arrange()
	for name, at := range map[string]time.Time{"as asked": asOf, "asked elsewhere": asOf.In(far)} {
		got := forecastOf(t, u, at)
		if a, b := numbersOf(t, got), numbersOf(t, want); a != b {
			t.Errorf("%s: another forecast%s", name, firstDifference(a, b))
		}
	}
	const week = 7 * 24 * time.Hour
	u = clone(trial)
	for i := range u.Visits {
		u.Visits[i].CountedAt.At = u.Visits[i].CountedAt.At.Add(week)
	}
	for i := range u.Pickings {
		u.Pickings[i].PickedAt.At = u.Pickings[i].PickedAt.At.Add(week)
	}
	for i := range u.Losses {
		u.Losses[i].LostAt.At = u.Losses[i].LostAt.At.Add(week)
	}
	for i := range u.Temperatures {
		u.Temperatures[i].MeasuredAt = u.Temperatures[i].MeasuredAt.Add(week)
	}
	for i := range u.Plants {
		later := u.Plants[i].SownOn.AddDays(7)
		u.Plants[i].SownOn = &later
	}
	u.Season.FirstDay, u.Season.LastDay = nil, nil
	u.Arrange()
	got := forecastOf(t, u, asOf.Add(week))
	for d := range got.Season {
		if a, b := got.Season[d].Mean, want.Season[d].Mean; math.Abs(a-b) > 1e-9*(1+b) {
			t.Errorf("a week later %v fruit by day %d, not %v", a, d+1, b)
		}
	}
}

// TestDenserReadings: readings every ten minutes along the same lines say what hourly ones do.
func TestDenserReadings(t *testing.T) {
	const script = `count 2026-05-01T18:00:00Z green=20 breaker=2 turning=1 red=0
		count 2026-05-08T18:00:00Z green=17 breaker=2 turning=2 red=2
		pick 2026-05-08T18:00:00Z red 2
		count 2026-05-15T18:00:00Z green=13 breaker=2 turning=3 red=3`
	air := func(hour float64) float64 { return 20 + 4*math.Abs(math.Mod(hour, 24)-12)/12 }
	hourly, dense := trialOf(t, script), trialOf(t, script)
	warm(hourly, here, "2026-02-01T00:00:00Z", 104, time.Hour, air)
	warm(dense, here, "2026-02-01T00:00:00Z", 104, 10*time.Minute, air)
	asOf := instant("2026-05-15T18:00:00Z")
	a, b := forecastOf(t, hourly, asOf), forecastOf(t, dense, asOf)
	for d := range a.Season {
		if x, y := a.Season[d].Mean, b.Season[d].Mean; math.Abs(x-y) > 0.01*(1+x) {
			t.Errorf("day %d: %v with hourly readings, %v with denser ones", d+1, x, y)
		}
	}
}

// TestLaterRecords: what was recorded after the moment asked for changes nothing.
func TestLaterRecords(t *testing.T) {
	for _, conduct := range []string{"steady", "a plant dies", "a plant moves", "dates only"} {
		whole, asOf := grown(conduct, 7)
		early := clone(whole)
		early.Visits = slices.DeleteFunc(early.Visits, func(v crop.Visit) bool { return !v.CountedAt.Within(asOf) })
		early.Pickings = slices.DeleteFunc(early.Pickings, func(p crop.Picking) bool { return !p.PickedAt.Within(asOf) })
		early.Losses = slices.DeleteFunc(early.Losses, func(l crop.Loss) bool { return !l.LostAt.Within(asOf) })
		early.Temperatures = slices.DeleteFunc(early.Temperatures, func(r crop.Temperature) bool { return r.MeasuredAt.After(asOf) })
		for i := range early.Plants {
			p := &early.Plants[i]
			day := crop.DateOf(asOf)
			if p.RemovedOn != nil && p.RemovedOn.After(day) {
				p.RemovedOn = nil
			}
			p.Moves = slices.DeleteFunc(slices.Clone(p.Moves), func(m crop.Move) bool { return m.On.After(day) })
		}
		early.Arrange()
		got, want := forecastOf(t, whole, asOf), forecastOf(t, early, asOf)
		if a, b := numbersOf(t, got), numbersOf(t, want); a != b || !slices.Equal(got.Warnings, want.Warnings) {
			t.Errorf("%s: another forecast%s", conduct, firstDifference(a, b))
		}
	}
}

// TestDaysAsked: how far ahead is asked changes nothing of the days before.
func TestDaysAsked(t *testing.T) {
	trial, asOf := grown("steady", 8)
	m := modelOf(trial.AsOf(asOf), asOf)
	long := forecast.Of(m, forecast.Options{Days: forecast.MostDays})
	for _, days := range []int{1, 3, 14} {
		short := forecast.Of(m, forecast.Options{Days: days})
		sane(t, short)
		for d := range days {
			if a, b := short.Season[d].Mean, long.Season[d].Mean; math.Abs(a-b) > 1e-6*(1+b) {
				t.Errorf("day %d of %d: %v, of %d: %v", d+1, days, a, forecast.MostDays, b)
			}
		}
		if !reflect.DeepEqual(short.ToCome, long.ToCome) {
			t.Errorf("by %d days %+v is to come, by %d %+v", days, short.ToCome, forecast.MostDays, long.ToCome)
		}
		for i := range short.Plants {
			if a, b := short.Plants[i].ToCome, long.Plants[i].ToCome; a != b {
				t.Errorf("%s: by %d days %+v is to come, by %d %+v", short.Plants[i].Label, days, a, forecast.MostDays, b)
			}
		}
	}
}
