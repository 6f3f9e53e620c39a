package storagetest

import (
	"testing"
	"time"

	"vinetally/analytics/crop"
)

func testVersions(t *testing.T, open func(Options) Database) {
	now := Now
	db := open(Options{Now: func() time.Time { return now }})
	f := farmOn(t, t.Context(), db.Store)
	v := f.newVisit("2026-05-01", 3)
	f.put(v)
	for i := range 3 {
		now = now.Add(time.Hour)
		v.Counts["green"] = 10 + i
		out := f.put(v)
		wantEffects(t, out, crop.Replaced)
		if want := int64(2 + i); out[0].Version != want {
			t.Errorf("version %d, want %d", out[0].Version, want)
		}
	}
	h := f.history(v)
	if len(h) != 4 {
		t.Fatalf("history has %d versions, want 4", len(h))
	}
	for i, want := range []int{3, 10, 11, 12} {
		if got := h[i].Record.(*crop.Visit).Counts["green"]; got != want || h[i].Version != int64(i+1) {
			t.Errorf("version %d: %d green, want %d", h[i].Version, got, want)
		}
		if want := Now.Add(time.Duration(i) * time.Hour); !h[i].RecordedAt.Equal(want) {
			t.Errorf("version %d recorded at %s, want %s", h[i].Version, h[i].RecordedAt, want)
		}
	}
}

func testDeletion(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	v := f.newVisit("2026-05-01", 3)
	f.refused(crop.NotFound, removal(v))
	f.put(v)
	out := f.apply(removal(&crop.Visit{ID: v.ID}))
	wantEffects(t, out, crop.Removed)
	if !out[0].Deleted || out[0].Version != 2 {
		t.Errorf("outcome of a deletion: %+v", out[0])
	}
	wantSame(t, out[0].Record, v)
	if _, err := f.store.Get(f.ctx, crop.Visits, v.ID); crop.CodeOf(err) != crop.NotFound {
		t.Errorf("get of a deleted record: %v", err)
	}
	f.refused(crop.NotFound, removal(v))
	wantEffects(t, f.apply(removalOf(v, 1)), crop.Unchanged)
	wantEffects(t, f.apply(removalOf(v, 2)), crop.Unchanged)
	f.refused(crop.NotFound, removalOf(v, 7))

	v.Note = "back again"
	out = f.put(v)
	if out[0].Effect != crop.Created || out[0].Version != 3 {
		t.Errorf("made again: %s, version %d; want created, 3", out[0].Effect, out[0].Version)
	}
	wantEffects(t, f.apply(removalOf(v, 1)), crop.Unchanged) // the old deletion, sent again
	f.refused(crop.Stale, removalOf(v, 2))
	h := f.history(v)
	if len(h) != 3 || h[0].Deleted || !h[1].Deleted || h[2].Deleted {
		t.Errorf("history %+v, want made, deleted, made", h)
	}
	if _, err := f.store.History(f.ctx, crop.Visits, f.store.NewID()); crop.CodeOf(err) != crop.NotFound {
		t.Errorf("history of nothing: %v", err)
	}
}

func testStale(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	v := f.newVisit("2026-05-01", 1)
	two, three := *v, *v
	two.Counts, three.Counts = map[string]int{"green": 2}, map[string]int{"green": 3}
	if e := f.refused(crop.Stale, based(v, 4)); e.Faults[0].Pointer != "/base_version" {
		t.Errorf("fault at %s", e.Faults[0].Pointer)
	}
	wantEffects(t, f.apply(based(v, 0)), crop.Created)
	wantEffects(t, f.apply(based(v, 0)), crop.Unchanged)
	f.refused(crop.Conflict, based(&two, 0))
	wantEffects(t, f.apply(based(&two, 1)), crop.Replaced)
	f.refused(crop.Stale, based(&three, 1))

	out := f.apply(based(v, 0), based(v, 1), based(v, 9)) // an old version, sent again, reverts nothing
	wantEffects(t, out, crop.Unchanged, crop.Unchanged, crop.Unchanged)
	wantSame(t, out[0].Record, &two)
	wantEffects(t, f.apply(based(v, 2)), crop.Replaced) // but it may be gone back to

	f.apply(removal(v))
	out = f.apply(based(&two, 1))
	wantEffects(t, out, crop.Unchanged)
	if !out[0].Deleted || out[0].Version != 4 {
		t.Errorf("an old version sent after the deletion answers %+v, want the deletion", out[0])
	}
	f.refused(crop.Conflict, based(&three, 0))
	f.refused(crop.Stale, based(&three, 3))
	wantEffects(t, f.apply(based(&three, 4)), crop.Created)
}

// testSyncRepeated sends an old batch again after all it made was edited or deleted.
func testSyncRepeated(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	season := &crop.Season{ID: f.store.NewID(), Name: "late"}
	plant := f.newPlant(" B1 ") // completed on the way in
	plant.SeasonID = season.ID
	picking := &crop.Picking{ID: f.store.NewID(), PlantID: &plant.ID, PickedAt: moment("2026-05-01"), Fruits: new(2)}
	sync := []crop.Change{based(picking, 0), based(plant, 0), based(season, 0)}
	wantEffects(t, f.apply(sync...), crop.Created, crop.Created, crop.Created)
	wantEffects(t, f.apply(sync...), crop.Unchanged, crop.Unchanged, crop.Unchanged)
	edited := *season
	edited.Name = "late crop"
	f.put(&edited)
	wantEffects(t, f.apply(sync...), crop.Unchanged, crop.Unchanged, crop.Unchanged)
	f.apply(removal(season), removal(plant), removal(picking))
	before := f.change()
	wantEffects(t, f.apply(sync...), crop.Unchanged, crop.Unchanged, crop.Unchanged)
	if after := f.change(); after != before {
		t.Errorf("a repeated batch moved the change number")
	}
}

func testChain(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	one := f.newVisit("2026-05-01", 1)
	two := *one
	two.Counts = map[string]int{"green": 2}
	out := f.apply(based(one, 0), based(&two, 1), based(&two, 2), removalOf(one, 2), based(one, 3))
	wantEffects(t, out, crop.Created, crop.Replaced, crop.Unchanged, crop.Removed, crop.Created)
	h := f.history(one)
	if len(h) != 4 || !h[2].Deleted || h[3].Version != 4 {
		t.Fatalf("history %+v", h)
	}
	wantSame(t, h[1].Record, &two)
	three := *one
	three.Counts = map[string]int{"green": 3}
	f.refused(crop.Conflict, based(f.newVisit("2026-05-01", 1), 0), based(&three, 0))
	fresh := f.newVisit("2026-05-01", 1)
	other := *fresh
	other.Counts = map[string]int{"green": 9}
	f.refused(crop.Conflict, based(fresh, 0), based(&other, 0))

	// Made and deleted in one batch: only the history knows.
	season := &crop.Season{ID: f.store.NewID(), Name: "dream"}
	plant := f.newPlant("D1")
	plant.SeasonID = season.ID
	out = f.apply(puts(plant, season)[0], puts(season)[0], removal(season), removal(plant))
	wantEffects(t, out, crop.Created, crop.Created, crop.Removed, crop.Removed)
	if h := f.history(plant); len(h) != 2 {
		t.Errorf("history of what was made and deleted at once: %d versions, want 2", len(h))
	}
}

func testAnyOrder(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	season := &crop.Season{ID: f.store.NewID(), Name: "late"}
	scale := &crop.Scale{ID: f.store.NewID(), Name: "two", RipeStage: "b", Stages: []crop.Stage{{Name: "a"}, {Name: "b"}}}
	cultivar := &crop.Cultivar{ID: f.store.NewID(), Name: "Marble", ScaleID: &scale.ID}
	first, second := f.newPlant("Z1"), f.newPlant("Z2")
	for _, p := range []*crop.Plant{first, second} {
		p.SeasonID, p.CultivarID = season.ID, cultivar.ID
	}
	second.OriginID = &first.ID
	visit := f.newVisit("2026-05-01", 0)
	visit.PlantID, visit.Counts = second.ID, map[string]int{"b": 1}
	all := []crop.Record{visit, second, first, cultivar, scale, season}
	out := f.put(all...)
	for i := range all {
		if out[i].Effect != crop.Created {
			t.Errorf("%s: %s", all[i].RecordKind(), out[i].Effect)
		}
		wantSame(t, out[i].Record, all[i])
	}
	var away []crop.Change
	for _, r := range []crop.Record{season, first, scale, cultivar, second, visit} {
		away = append(away, removal(r))
	}
	for _, o := range f.apply(away...) {
		if o.Effect != crop.Removed {
			t.Errorf("%s: %s", o.Record.RecordKind(), o.Effect)
		}
	}
}
