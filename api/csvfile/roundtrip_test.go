package csvfile

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

// Whatever keeps the rules comes back from the files as it was.
func TestRoundTrip(t *testing.T) {
	base := t.TempDir()
	n := 0
	export := func(t *rapid.T, store Reader) files {
		n++
		dir := filepath.Join(base, fmt.Sprint(n))
		if err := os.Mkdir(dir, 0o700); err != nil {
			t.Fatal(err)
		}
		e := &exporter{ctx: context.Background(), store: store} // Export without waiting for the disk, 24 files a draw
		if err := e.run(dir); err != nil {
			t.Fatalf("export: %v", err)
		}
		f := files{}
		for _, name := range Files() {
			data, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			f[name] = string(data)
		}
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
		return f
	}
	rapid.Check(t, func(t *rapid.T) {
		m := drawTrial(t)
		first := export(t, m)
		second := newMemory()
		if _, err := importInto(second, first, options()); err != nil {
			t.Fatalf("import: %v", err)
		}
		for name, text := range export(t, second) {
			if text != first[name] {
				t.Errorf("%s: got\n%s\nwant\n%s", name, text, first[name])
			}
		}
		for id, r := range m.records {
			if got := second.records[id]; got == nil || !sameRecord(got, r) {
				t.Errorf("got %+v, want %+v", got, r)
			}
		}
	})
}

// sameRecord compares two records by all that they say; what clock shows an instant is not part of it.
func sameRecord(a, b crop.Record) bool {
	one, two := newMemory(), newMemory()
	one.put(plain(a))
	two.put(plain(b))
	return one.dump() == two.dump()
}

func plain(r crop.Record) crop.Record {
	r = copyOf(r)
	switch r := r.(type) {
	case *crop.Plant:
		if len(r.Moves) == 0 {
			r.Moves = nil
		}
	case *crop.Visit:
		if len(r.Counts) == 0 {
			r.Counts = nil
		}
		r.CountedAt = r.CountedAt.In(time.UTC)
	case *crop.Picking:
		r.PickedAt = r.PickedAt.In(time.UTC)
	case *crop.Loss:
		r.LostAt = r.LostAt.In(time.UTC)
	case *crop.DiaryEntry:
		r.NotedAt = r.NotedAt.In(time.UTC)
	case *crop.Temperature:
		r.MeasuredAt = r.MeasuredAt.UTC()
	}
	return r
}

// drawTrial makes a site with every kind of record.
func drawTrial(t *rapid.T) *memory {
	m := newMemory()
	d := drawing{t, m}
	scale := &crop.Scale{ID: m.NewID(), Name: d.name("scale"), Stages: []crop.Stage{{Name: d.name("s1"), Description: d.note()}, {Name: d.name("s2")}}}
	scale.RipeStage = scale.Stages[1].Name
	d.apply(scale)
	season := &crop.Season{ID: m.NewID(), Name: d.name("season"), FirstDay: maybe(t, d.date())}
	places := []*crop.Place{{ID: m.NewID(), Name: d.name("p1"), TimeZone: d.zone()}, {ID: m.NewID(), Name: d.name("p2"), TimeZone: d.zone()}}
	cultivars := []*crop.Cultivar{
		{ID: m.NewID(), Name: d.name("c1"), ScaleID: &scale.ID, HoldDays: maybe(t, rapid.Float64Range(0.25, 365).Draw(t, "hold"))},
		{ID: m.NewID(), Name: d.name("c2"), ScaleID: rapid.SampledFrom([]*crop.ID{nil, new(crop.DefaultScaleID)}).Draw(t, "scale"), Note: d.note()}}
	d.apply(season, places[0], places[1], cultivars[0], cultivars[1])
	for i := range rapid.IntRange(1, 3).Draw(t, "plants") {
		p := &crop.Plant{ID: m.NewID(), SeasonID: season.ID, PlaceID: pick(t, places).ID, Label: d.name(fmt.Sprint("a", i)),
			SownOn: &crop.Date{Year: 2024, Month: 1, Day: 1}, Lot: d.line(), Note: d.note()}
		c := rapid.IntRange(0, 1).Draw(t, "cultivar")
		p.CultivarID = cultivars[c].ID
		stages := scale.Names()
		if c == 1 {
			stages = new(crop.DefaultScale()).Names()
		}
		if rapid.Bool().Draw(t, "moves") {
			p.Moves = []crop.Move{{PlaceID: pick(t, places).ID, On: crop.Date{Year: 2025, Month: 3, Day: 30}}}
		}
		d.apply(p)
		d.events(season, p, places, stages)
	}
	for i := range 3 {
		d.apply(&crop.Temperature{ID: m.NewID(), PlaceID: pick(t, places).ID, MeasuredAt: testNow.Add(-time.Duration(i) * time.Hour),
			AirC: new(rapid.Float64Range(-50, 60).Draw(t, "air"))})
	}
	d.apply(&crop.Germination{ID: m.NewID(), SeasonID: season.ID, CultivarID: cultivars[0].ID, Lot: d.line(), SownOn: &crop.Date{Year: 2025, Month: 1, Day: 2},
		Seeds: new(9), CountedOn: &crop.Date{Year: 2025, Month: 1, Day: 9}, Emerged: new(rapid.IntRange(0, 9).Draw(t, "emerged"))})
	return m
}

// events adds records of one plant, some of them alike but for their ids.
func (d drawing) events(season *crop.Season, p *crop.Plant, places []*crop.Place, stages []string) {
	t, m := d.t, d.m
	for range rapid.IntRange(0, 3).Draw(t, "counts") {
		v := &crop.Visit{ID: m.NewID(), PlantID: p.ID, CountedAt: d.moment(), Counts: map[string]int{}, Observer: d.line(), Note: d.note(),
			AtLeast: rapid.Bool().Draw(t, "at least"), About: rapid.Bool().Draw(t, "about"), Truss: maybe(t, 3)}
		for _, stage := range stages {
			if rapid.Bool().Draw(t, "counted") {
				v.Counts[stage] = rapid.IntRange(0, crop.MaxFruit).Draw(t, "fruit")
			}
		}
		if len(v.Counts) == 0 {
			v.Total = new(rapid.IntRange(0, 9).Draw(t, "total"))
		}
		d.apply(v)
	}
	for range rapid.IntRange(0, 3).Draw(t, "pickings") {
		k := &crop.Picking{ID: m.NewID(), PickedAt: d.moment(), Stage: pick(t, stages), Fruits: maybe(t, 4), MassG: new(rapid.Float64Range(1, 999).Draw(t, "mass")),
			Weighing: d.line(), Grade: pick(t, []crop.Grade{"", crop.Marketable, crop.Cull}), Taste: maybe(t, 7), Brix: maybe(t, 7.25), Note: d.note()}
		l := &crop.Loss{ID: m.NewID(), LostAt: d.moment(), Stage: pick(t, stages), Fruits: new(2), Cause: pick(t, crop.Causes()), BeforeCount: rapid.Bool().Draw(t, "before"), Note: d.note()}
		if rapid.Bool().Draw(t, "unit") {
			k.Unit = crop.Unit{SeasonID: &season.ID, PlaceID: &pick(t, places).ID, CultivarID: &p.CultivarID}
			l.Unit = k.Unit
		} else {
			k.PlantID, l.PlantID = &p.ID, &p.ID
		}
		d.apply(k, l)
	}
	entry := &crop.DiaryEntry{ID: m.NewID(), SeasonID: season.ID, NotedAt: d.moment(), Kind: pick(t, crop.DiaryKinds()), PH: maybe(t, 6.1), Note: d.note()}
	if rapid.Bool().Draw(t, "of the plant") {
		entry.PlantID = &p.ID
	}
	d.apply(entry)
}

type drawing struct {
	t *rapid.T
	m *memory
}

func (d drawing) apply(records ...crop.Record) {
	var changes []crop.Change
	for _, r := range records {
		changes = append(changes, crop.Change{Record: r})
	}
	if err := (&inMemory{memory: d.m}).Apply(context.Background(), changes); err != nil {
		d.t.Fatalf("the drawn records break a rule: %v", err)
	}
}

var runes = []rune("ab ',\"=+-@;é漢\u00a0|\\#")

// name is unique by its end; the space around names is never stored.
func (d drawing) name(end string) string {
	return strings.TrimSpace(rapid.StringOfN(rapid.SampledFrom(runes), 0, 6, -1).Draw(d.t, "name") + end)
}

func (d drawing) line() string {
	return rapid.StringOfN(rapid.SampledFrom(runes), 0, 6, -1).Draw(d.t, "line")
}

func (d drawing) note() string {
	return rapid.StringOfN(rapid.SampledFrom(append([]rune("\n\t"), runes...)), 0, 12, -1).Draw(d.t, "note")
}

func (d drawing) zone() string {
	return pick(d.t, []string{"", "UTC", "Europe/Lisbon", "America/St_Johns", "Pacific/Kiritimati", "Australia/Lord_Howe"})
}

func (d drawing) date() crop.Date {
	return crop.Date{Year: 2024, Month: 2, Day: 1}.AddDays(rapid.IntRange(0, 800).Draw(d.t, "day"))
}

// moment is a day alone or an instant, often near a clock change.
func (d drawing) moment() crop.Moment {
	if rapid.Bool().Draw(d.t, "day alone") {
		return crop.DayMoment(d.date(), time.UTC)
	}
	near := pick(d.t, []time.Time{time.Date(2025, 3, 30, 1, 0, 0, 0, time.UTC), time.Date(2025, 10, 26, 1, 0, 0, 0, time.UTC), time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC)})
	return crop.InstantMoment(near.Add(time.Duration(rapid.Int64Range(-90*60_000, 90*60_000).Draw(d.t, "ms")) * time.Millisecond))
}

func pick[T any](t *rapid.T, from []T) T { return rapid.SampledFrom(from).Draw(t, "pick") }

func maybe[T any](t *rapid.T, x T) *T {
	if rapid.Bool().Draw(t, "given") {
		return &x
	}
	return nil
}
