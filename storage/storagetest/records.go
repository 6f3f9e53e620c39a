package storagetest

import (
	"errors"
	"reflect"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

func asError(tb TB, err error) *crop.Error {
	tb.Helper()
	e, ok := errors.AsType[*crop.Error](err)
	if !ok {
		tb.Fatalf("error %v is not for people", err)
	}
	return e
}

// samples are records of every kind that use every field at least once, complete as the store answers them.
func samples(f *farm) []crop.Record {
	id := f.store.NewID
	second := &crop.Place{ID: id(), Name: "balcony", TimeZone: "Asia/Kolkata"}
	scale := &crop.Scale{ID: id(), Name: "yellow fruit", RipeStage: "yellow",
		Stages: []crop.Stage{{Name: "green", Description: "no colour"}, {Name: "yellow", Description: `all "yellow" <&>`}, {Name: "soft"}}}
	cultivar := &crop.Cultivar{ID: id(), Name: "Lantern", ScaleID: &scale.ID, HoldDays: new(2.5), Note: "a\nnote\twith ünïcode"}
	season := &crop.Season{ID: id(), Name: "autumn", FirstDay: date("2025-09-01"), LastDay: date("2026-02-01")}
	plant := &crop.Plant{ID: id(), SeasonID: f.season.ID, PlaceID: f.place.ID, CultivarID: f.cultivar.ID, Label: "A2",
		SownOn: date("2026-03-01"), TransplantedOn: date("2026-03-20"), RemovedOn: date("2026-05-30"), OriginID: &f.plant.ID,
		Lot: "L7", Moves: []crop.Move{{PlaceID: second.ID, On: *date("2026-04-10")}}, Note: "twin"}
	unit := crop.Unit{SeasonID: &f.season.ID, PlaceID: &f.place.ID, CultivarID: &f.cultivar.ID}
	return []crop.Record{
		season, second, scale, cultivar, plant,
		&crop.Visit{ID: id(), PlantID: f.plant.ID, CountedAt: moment("2026-05-01T08:30:00.125+01:00"),
			Counts: map[string]int{"green": 12, "red": 0}, Total: new(14), TrussesCounted: new(2), TrussesTotal: new(5), AtLeast: true,
			About: true, Observer: "Ada", Note: "windy"},
		&crop.Visit{ID: id(), PlantID: f.plant.ID, CountedAt: moment("2026-05-02"), Counts: map[string]int{}, Total: new(0), Truss: new(3)},
		&crop.Picking{ID: id(), PlantID: &f.plant.ID, PickedAt: moment("2026-05-03"), Stage: "red", Fruits: new(4), MassG: new(51.5),
			Weighing: "w1", Grade: crop.Cull, Brix: new(6.25), Taste: new(8), BeforeCount: true, Note: "sweet"},
		&crop.Picking{ID: id(), Unit: unit, PickedAt: moment("2026-05-03T07:00:00Z"), Stage: "turning", MassG: new(1e6), Grade: crop.Marketable},
		&crop.Loss{ID: id(), PlantID: &f.plant.ID, LostAt: moment("2026-05-04T23:59:59.999+01:00"), Stage: "green", Fruits: new(0),
			Cause: crop.Thinned, BeforeCount: true, Note: "few"},
		&crop.Loss{ID: id(), Unit: unit, LostAt: moment("2026-05-04"), Stage: "red", Fruits: new(100_000), Cause: crop.OtherWay},
		&crop.DiaryEntry{ID: id(), SeasonID: f.season.ID, PlantID: &f.plant.ID, NotedAt: moment("2026-05-05"), Kind: "treated",
			ECDsM: new(1.8), PH: new(6.1), SolutionC: new(-0.5), PickNotBefore: date("2026-05-12"), Note: "soap"},
		&crop.Temperature{ID: id(), PlaceID: f.place.ID, MeasuredAt: time.Date(2026, 5, 6, 7, 8, 9, 10e6, lisbon), AirC: new(-3.7)},
		&crop.Germination{ID: id(), SeasonID: f.season.ID, CultivarID: f.cultivar.ID, Lot: "L7", SownOn: date("2026-03-01"),
			Seeds: new(20), CountedOn: date("2026-03-09"), Emerged: new(17)},
	}
}

func testRoundTrip(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	all := samples(f)
	used := map[crop.Kind]map[string]bool{}
	for _, want := range all {
		noteFields(used, want)
	}
	for _, kind := range crop.Kinds() {
		typ := reflect.TypeOf(crop.New(kind)).Elem()
		for _, field := range reflect.VisibleFields(typ) {
			if !field.Anonymous && !used[kind][field.Name] {
				t.Errorf("no sample of %s uses %s, so its round trip is not tested", kind, field.Name)
			}
		}
	}
	out := f.put(all...)
	for i, want := range all {
		kind := want.RecordKind()
		if out[i].Effect != crop.Created || out[i].Version != 1 || out[i].Actor != "tester" || !out[i].RecordedAt.Equal(Now) {
			t.Errorf("%s: outcome %+v", kind, out[i])
		}
		wantSame(t, out[i].Record, want)
		got := f.get(kind, want.Identity())
		wantSame(t, got.Record, want)
		if got.Version != 1 || got.Actor != "tester" || !got.RecordedAt.Equal(Now) || got.Deleted {
			t.Errorf("%s: stored as %+v", kind, got)
		}
		h := f.history(want)
		if len(h) != 1 {
			t.Fatalf("%s: history of %d versions, want 1", kind, len(h))
		}
		wantSame(t, h[0].Record, want)
	}
	out = f.put(all...)
	for i := range out {
		if out[i].Effect != crop.Unchanged || out[i].Version != 1 {
			t.Errorf("%s sent again: %s, version %d", all[i].RecordKind(), out[i].Effect, out[i].Version)
		}
		wantSame(t, out[i].Record, all[i])
	}
	// Every kind goes through the history as it went in.
	changes := make([]crop.Change, len(all))
	for i := range all {
		changes[i] = removal(all[i])
	}
	f.apply(changes...)
	for _, want := range all {
		h := f.history(want)
		if len(h) != 2 || !h[1].Deleted || h[0].Deleted {
			t.Fatalf("%s: history after deletion %+v", want.RecordKind(), h)
		}
		wantSame(t, h[0].Record, want)
		wantSame(t, h[1].Record, want)
	}
}

func noteFields(used map[crop.Kind]map[string]bool, r crop.Record) {
	if used[r.RecordKind()] == nil {
		used[r.RecordKind()] = map[string]bool{}
	}
	v := reflect.ValueOf(r).Elem()
	for _, field := range reflect.VisibleFields(v.Type()) {
		if !field.Anonymous && !v.FieldByIndex(field.Index).IsZero() {
			used[r.RecordKind()][field.Name] = true
		}
	}
}

func testShipped(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	for _, scale := range []crop.Scale{crop.DefaultScale(), crop.ColourClasses()} {
		wantSame(t, f.get(crop.Scales, scale.ID).Record, &scale)
		f.refused(crop.Conflict, removal(&scale))
		renamed := scale
		renamed.Name += ", as we say it"
		wantEffects(t, f.put(&renamed), crop.Replaced)
		renamed.RipeStage = "turning"
		f.refused(crop.Conflict, puts(&renamed)...)
	}
}

func testOpenAgain(t *testing.T, open func(Options) Database) {
	db := open(Options{})
	f := farmOn(t, t.Context(), db.Store)
	again := open(Options{Name: db.Name})
	if err := again.Ping(t.Context()); err != nil {
		t.Errorf("ping: %v", err)
	}
	g := &farm{tb: t, ctx: t.Context(), store: again.Store}
	wantSame(t, g.get(crop.Plants, f.plant.ID).Record, f.plant)
	scales, err := again.Store.List(t.Context(), crop.Scales, crop.Filter{})
	if err != nil || len(scales.Items) != 2 {
		t.Errorf("scales after opening again: %d, %v; want the two shipped ones", len(scales.Items), err)
	}
}
