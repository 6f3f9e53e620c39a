package storage

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// TestPackedCounts holds the counts of a season, which the database packs, against the same counts read row by row: with
// texts that look like the marks between them, stages that JSON escapes, and whatever most counts leave empty.
func TestPackedCounts(t *testing.T) {
	s := openTest(t).Site()
	tr := newTrial(s, "packed", 40)
	scale := &crop.Scale{ID: s.NewID(), Name: "odd", RipeStage: `ripe "soft"`,
		Stages: []crop.Stage{{Name: "a,b"}, {Name: "<50 % & more"}, {Name: `back\slash`}, {Name: "赤い"}, {Name: `ripe "soft"`}}}
	tr.cultivar.ScaleID = &scale.ID
	mustApply(t, s, append(tr.base(), crop.Change{Record: scale}))
	texts := []string{"", "Ana", `","`, `"],["`, `\`, `\"`, "null", "a\nb\tc", "é 🍅 \u2028", "[1,2]", "{}", "\u007e,\u00ad"}
	r := rand.New(rand.NewPCG(1, 2))
	maybe := func(n int) *int {
		if r.IntN(3) > 0 {
			return nil
		}
		return new(n)
	}
	var changes []crop.Change
	for n := range 600 {
		p := tr.plants[r.IntN(len(tr.plants))]
		v := &crop.Visit{
			ID: s.NewID(), PlantID: p.ID, Counts: map[string]int{}, Note: texts[r.IntN(len(texts))],
			CountedAt: crop.InstantMoment(time.Date(2026, 3, 1+r.IntN(60), r.IntN(24), r.IntN(60), 0, r.IntN(1000)*1e6, time.UTC)),
		}
		if name := texts[r.IntN(len(texts))]; name != "a\nb\tc" {
			v.Observer = name
		}
		if r.IntN(3) == 0 {
			v.CountedAt = crop.DayMoment(crop.DateOf(v.CountedAt.At), time.UTC)
		}
		for _, stage := range scale.Stages[:r.IntN(len(scale.Stages))] {
			v.Counts[stage.Name] = r.IntN(2000)
		}
		if v.Total = maybe(10_000); len(v.Counts) == 0 {
			v.Total = new(n)
		}
		if v.Truss = maybe(3); v.Truss == nil {
			v.TrussesCounted, v.TrussesTotal = maybe(2), maybe(5)
		}
		v.AtLeast, v.About = r.IntN(4) == 0, r.IntN(4) == 0
		changes = append(changes, crop.Change{Record: v})
	}
	mustApply(t, s, changes)
	got, err := s.LoadSeason(t.Context(), tr.season.ID, Selection{})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Visits) != len(changes) {
		t.Fatalf("%d counts, want %d", len(got.Visits), len(changes))
	}
	for i := range got.Visits {
		one, err := s.Get(t.Context(), crop.Visits, got.Visits[i].ID)
		if err != nil {
			t.Fatal(err)
		}
		if want := one.Record.(*crop.Visit); !reflect.DeepEqual(&got.Visits[i], want) {
			t.Errorf("got  %+v\nwant %+v", got.Visits[i], *want)
		}
	}
	plant, err := s.LoadPlant(t.Context(), tr.plants[7].ID, Selection{})
	if err != nil {
		t.Fatal(err)
	}
	if want := got.Only(tr.plants[7].ID).Visits; !reflect.DeepEqual(plant.Visits, want) || len(want) == 0 {
		t.Errorf("%d counts of one plant, want the %d of the season", len(plant.Visits), len(want))
	}
}

// TestPackedCountsOfOthers: counts that another program wrote with white space are read, and what doesn't have the form is
// refused, never taken for something else.
func TestPackedCountsOfOthers(t *testing.T) {
	id := func(n int) string { return fmt.Sprintf("%032X", n) }
	good := packed{ids: id(1) + id(2), times: "10,20", counts: "{ \"red\" : 3,\n\"green\":4 } {}", observers: `["a","b"]`, notes: `["",""]`,
		seldom: `[["` + id(2) + `","2026-01-02",7,null,null,2,1,0]]`}
	all, err := unpackVisits([]packed{good})
	if err != nil {
		t.Fatal(err)
	}
	want := []crop.Visit{
		{ID: crop.ID{15: 1}, CountedAt: momentOf(10, nil), Counts: map[string]int{"red": 3, "green": 4}, Observer: "a"},
		{ID: crop.ID{15: 2}, CountedAt: momentOf(20, &day{Year: 2026, Month: 1, Day: 2}), Counts: map[string]int{}, Observer: "b",
			Total: new(7), Truss: new(2), AtLeast: true},
	}
	if !reflect.DeepEqual(all, want) {
		t.Errorf("got  %+v\nwant %+v", all, want)
	}
	for name, spoil := range map[string]func(*packed){
		"an id that isn't hexadecimal": func(p *packed) { p.ids = "G" + p.ids[1:] },
		"more times":                   func(p *packed) { p.times += ",30" },
		"fewer times":                  func(p *packed) { p.times = "10" },
		"a time in words":              func(p *packed) { p.times = "10,noon" },
		"more counts":                  func(p *packed) { p.counts += `{"red":1}` },
		"fewer counts":                 func(p *packed) { p.counts = `{"red":1}` },
		"a fraction":                   func(p *packed) { p.counts = `{"red":1.5}{}` },
		"a number too large":           func(p *packed) { p.counts = `{"red":99999999999999999999}{}` },
		"a list for counts":            func(p *packed) { p.counts = `[1]{}` },
		"a count without its number":   func(p *packed) { p.counts = `{"red"}{}` },
		"a text without its end":       func(p *packed) { p.counts = `{"red` },
		"a wrong escape":               func(p *packed) { p.counts = `{"r\xd":1}{}` },
		"more observers":               func(p *packed) { p.observers = `["a","b","c"]` },
		"fewer observers":              func(p *packed) { p.observers = `["a"]` },
		"no observer":                  func(p *packed) { p.observers = `[null,"b"]` },
		"fewer notes":                  func(p *packed) { p.notes = `[""]` },
		"of a count that isn't there":  func(p *packed) { p.seldom = `[["` + id(3) + `",null,7,null,null,2,1,0]]` },
		"twice":                        func(p *packed) { p.seldom = p.seldom[:len(p.seldom)-1] + "," + p.seldom[1:] },
		"not a day":                    func(p *packed) { p.seldom = `[["` + id(2) + `","2026-02-30",7,null,null,2,1,0]]` },
		"too short":                    func(p *packed) { p.seldom = `[["` + id(2) + `",null,7]]` },
		"nothing for seldom":           func(p *packed) { p.seldom = "" },
	} {
		p := good
		spoil(&p)
		if got, err := unpackVisits([]packed{p}); !errors.Is(err, errPacked) {
			t.Errorf("%s: %v, %v; want %v", name, got, err, errPacked)
		}
	}
}

// TestSecondConnection: a second connection joins only if it sees the state that the first one does, and only one load at a
// time has one.
func TestSecondConnection(t *testing.T) {
	s := openTest(t).Site()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	one, done := s.second(t.Context(), 0)
	if one == nil {
		t.Fatal("no second connection")
	}
	if other, done := s.second(t.Context(), 0); other != nil {
		t.Error("two loads have a second connection")
		done()
	}
	done()
	mustApply(t, s, named(s, "spring"))
	for change, want := range map[int64]bool{0: false, 1: true} {
		q, done := s.second(t.Context(), change)
		if q != nil != want {
			t.Errorf("joins a load of change %d: %t, want %t", change, q != nil, want)
		}
		done()
	}
}
