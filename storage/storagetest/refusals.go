package storagetest

import (
	"fmt"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

func testAtomic(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	var changes []crop.Change
	for i := range 20 {
		v := f.newVisit("2026-05-01", i)
		if i == 3 || i == 17 {
			v.Counts["blue"] = -1
			v.CountedAt = moment("2026-01-01")
		}
		changes = append(changes, crop.Change{Record: v})
	}
	e := f.refused(crop.Invalid, changes...)
	var at []string
	for _, fault := range e.Faults {
		at = append(at, fmt.Sprint(fault.Item, fault.Pointer))
	}
	want := "3/counted_at 3/counts/blue 17/counted_at 17/counts/blue"
	if got := strings.Join(at, " "); got != want {
		t.Errorf("faults at %s, want %s", got, want)
	}
	page, err := f.store.List(f.ctx, crop.Visits, crop.Filter{})
	if err != nil || len(page.Items) != 0 {
		t.Errorf("%d counts stored of a refused batch, %v", len(page.Items), err)
	}
	f.refused(crop.Invalid, crop.Change{})

	changes = changes[:0]
	for range 1200 {
		changes = append(changes, crop.Change{Record: &crop.Season{ID: f.store.NewID()}})
	}
	if e := f.refused(crop.Invalid, changes...); len(e.Faults) != 1000 || !strings.Contains(e.Message, "1200 faults") {
		t.Errorf("%d faults told, %q; want 1000 of 1200", len(e.Faults), e.Message)
	}
}

func testDryRun(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	before := f.change()
	v := f.newVisit("2026-05-01", 1)
	out, err := f.store.Apply(f.ctx, puts(v), crop.ApplyOptions{DryRun: true})
	if err != nil {
		t.Fatalf("dry run: %v", err)
	}
	wantEffects(t, out, crop.Created)
	if _, err := f.store.Get(f.ctx, crop.Visits, v.ID); crop.CodeOf(err) != crop.NotFound {
		t.Errorf("a dry run stored: %v", err)
	}
	if f.change() != before {
		t.Error("a dry run moved the change number")
	}
	_, err = f.store.Apply(f.ctx, []crop.Change{removal(f.season)}, crop.ApplyOptions{DryRun: true})
	if crop.CodeOf(err) != crop.Conflict {
		t.Errorf("dry run of a deletion that is refused: %v", err)
	}
}

func testChangeNumber(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	n := f.change()
	f.put(f.season)
	if got := f.change(); got != n {
		t.Errorf("change %d after nothing changed, want %d", got, n)
	}
	f.put(f.newVisit("2026-05-01", 1), f.newVisit("2026-05-01", 2))
	if got := f.change(); got != n+1 {
		t.Errorf("change %d after one batch, want %d", got, n+1)
	}
	if _, err := f.store.Apply(f.ctx, puts(f.newVisit("2026-05-01", 1)), crop.ApplyOptions{IfChange: &n}); crop.CodeOf(err) != crop.Stale {
		t.Errorf("batch made for another state: %v, want stale", err)
	}
	n++
	if _, err := f.store.Apply(f.ctx, puts(f.newVisit("2026-05-01", 1)), crop.ApplyOptions{IfChange: &n}); err != nil {
		t.Errorf("batch made for this state: %v", err)
	}
}

func testInputUntouched(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	p := f.newPlant("  B1 ")
	p.Moves = []crop.Move{{PlaceID: f.place.ID, On: *date("2026-05-02")}, {PlaceID: f.place.ID, On: *date("2026-05-01")}}
	before := text(p)
	out := f.put(p)
	if got := text(p); got != before {
		t.Errorf("the caller's record became %s", got)
	}
	stored := out[0].Record.(*crop.Plant)
	if stored.Label != "B1" || stored.Moves[0].On != *date("2026-05-01") {
		t.Errorf("stored %s, want it completed", text(stored))
	}
}

func testUnique(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	id := f.store.NewID
	reading := func() *crop.Temperature {
		return &crop.Temperature{ID: id(), PlaceID: f.place.ID, MeasuredAt: Now.AddDate(0, -1, 0), AirC: new(20.0)}
	}
	f.put(reading(), &crop.Scale{ID: id(), Name: "two", RipeStage: "b", Stages: []crop.Stage{{Name: "a"}, {Name: "b"}}})
	for _, c := range []struct {
		name, pointer string
		make          func() crop.Record
	}{
		{"season", "/name", func() crop.Record { return &crop.Season{ID: id(), Name: "spring"} }},
		{"place", "/name", func() crop.Record { return &crop.Place{ID: id(), Name: " bench"} }},
		{"cultivar", "/name", func() crop.Record { return &crop.Cultivar{ID: id(), Name: "Pebble"} }},
		{"scale", "/name", func() crop.Record {
			return &crop.Scale{ID: id(), Name: "two", RipeStage: "d", Stages: []crop.Stage{{Name: "c"}, {Name: "d"}}}
		}},
		{"plant", "/label", func() crop.Record { return f.newPlant("A1") }},
		{"reading", "/measured_at", func() crop.Record { return reading() }},
	} {
		t.Run(c.name, func(t *testing.T) {
			g := *f
			g.tb = t
			e := g.refused(crop.Conflict, puts(c.make())...)
			if len(e.Faults) != 1 || e.Faults[0].Pointer != c.pointer {
				t.Errorf("faults %+v, want one at %s", e.Faults, c.pointer)
			}
		})
	}
	twins := g2(f, "T1")
	if e := f.refused(crop.Conflict, puts(twins...)...); e.Faults[0].Item != 1 {
		t.Errorf("fault in item %d, want the second of two alike in one batch", e.Faults[0].Item)
	}
	other := &crop.Season{ID: id(), Name: "autumn"}
	plant := f.newPlant("A1")
	plant.SeasonID = other.ID
	wantEffects(t, f.put(other, plant), crop.Created, crop.Created) // the label is free in another season
	wantEffects(t, f.apply(removal(f.plant), puts(f.newPlant("A1"))[0]), crop.Removed, crop.Created)
}

func g2(f *farm, label string) []crop.Record {
	return []crop.Record{f.newPlant(label), f.newPlant(label)}
}

func testSwap(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	a, b, c := f.newPlant("S1"), f.newPlant("S2"), f.newPlant("S3")
	visit := f.newVisit("2026-05-01", 4)
	visit.PlantID = a.ID
	f.put(a, b, c, visit)
	a.Label, b.Label, c.Label = "S2", "S3", "S1"
	wantEffects(t, f.put(a, b, c), crop.Replaced, crop.Replaced, crop.Replaced)
	for _, p := range []*crop.Plant{a, b, c} {
		wantSame(t, f.get(crop.Plants, p.ID).Record, p)
	}
	wantSame(t, f.get(crop.Visits, visit.ID).Record, visit)
	a.Label = "S1"
	f.refused(crop.Conflict, based(a, 2))
}

func testReferredTo(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	all := samples(f)
	f.put(all...)
	for _, c := range []struct {
		record crop.Record
		want   string
	}{
		{f.season, "2 plants, 1 picking, 1 loss, 1 diary entry and 1 germination count refer to this season"},
		{f.place, "2 plants, 1 picking, 1 loss and 1 temperature reading refer to this place"},
		{all[1], "1 plant refers to this place"},
		{all[2], "1 cultivar refers to this scale"},
		{f.cultivar, "2 plants, 1 picking, 1 loss and 1 germination count refer to this cultivar"},
		{f.plant, "1 plant, 2 counts, 1 picking, 1 loss and 1 diary entry refer to this plant"},
	} {
		e := f.refused(crop.Conflict, removal(c.record))
		if got := e.Faults[0].Detail; !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: %q, want %q", c.record.RecordKind(), got, c.want)
		}
	}
	// In one batch: what is left after it counts.
	f.refused(crop.Conflict, removal(all[3]), puts(&crop.Germination{ID: f.store.NewID(), SeasonID: f.season.ID,
		CultivarID: all[3].Identity(), SownOn: date("2026-03-01"), CountedOn: date("2026-03-02"), Seeds: new(1), Emerged: new(0)})[0])
	f.refused(crop.Invalid, puts(&crop.Visit{ID: f.store.NewID(), PlantID: f.store.NewID(), CountedAt: moment("2026-05-01"), Total: new(1)})...)
}

func testInUse(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	scale := &crop.Scale{ID: f.store.NewID(), Name: "two", RipeStage: "b", Stages: []crop.Stage{{Name: "a"}, {Name: "b"}}}
	cultivar := &crop.Cultivar{ID: f.store.NewID(), Name: "Marble", ScaleID: &scale.ID}
	plant := f.newPlant("B1")
	plant.CultivarID = cultivar.ID
	f.put(scale, cultivar, plant)
	scale.Stages = append(scale.Stages, crop.Stage{Name: "c"})
	wantEffects(t, f.put(scale), crop.Replaced) // nothing was counted on it yet
	visit := f.newVisit("2026-05-01", 0)
	visit.PlantID, visit.Counts = plant.ID, map[string]int{"b": 1}
	unit := &crop.Loss{ID: f.store.NewID(), Unit: crop.Unit{SeasonID: &f.season.ID, PlaceID: &f.place.ID, CultivarID: &cultivar.ID},
		LostAt: moment("2026-05-01"), Stage: "a", Fruits: new(1), Cause: crop.Dropped}
	f.put(visit, unit)

	edited := *scale
	edited.Stages = edited.Stages[:2]
	e := f.refused(crop.Conflict, based(&edited, 2))
	if got := e.Faults[0].Detail; !strings.HasPrefix(got, "can't change, since they carry 1 count and 1 loss") {
		t.Errorf("detail %q", got)
	}
	edited = *scale
	edited.RipeStage = "c"
	f.refused(crop.Conflict, puts(&edited)...)
	edited = *scale
	edited.Stages = []crop.Stage{{Name: "a", Description: "as before"}, {Name: "b"}, {Name: "c"}}
	wantEffects(t, f.put(&edited), crop.Replaced)

	other := *cultivar
	other.ScaleID = nil
	f.refused(crop.Conflict, puts(&other)...)
	moved := *plant
	moved.CultivarID = f.cultivar.ID
	if e := f.refused(crop.Conflict, puts(&moved)...); e.Faults[0].Pointer != "/cultivar_id" {
		t.Errorf("fault at %s", e.Faults[0].Pointer)
	}
	same := &crop.Cultivar{ID: f.store.NewID(), Name: "Agate", ScaleID: &scale.ID}
	moved.CultivarID = same.ID
	wantEffects(t, f.put(same, &moved), crop.Created, crop.Replaced) // the scale stays
	season := &crop.Season{ID: f.store.NewID(), Name: "autumn"}
	moved.SeasonID = season.ID
	if e := f.refused(crop.Conflict, puts(season, &moved)...); e.Faults[0].Pointer != "/season_id" {
		t.Errorf("fault at %s", e.Faults[0].Pointer)
	}

	// A diary entry belongs to the season and has nothing to do with the scale.
	noted := f.newPlant("B2")
	f.put(noted, &crop.DiaryEntry{ID: f.store.NewID(), SeasonID: f.season.ID, PlantID: &noted.ID, NotedAt: moment("2026-05-01"), Kind: "pruned"})
	noted.CultivarID = cultivar.ID
	wantEffects(t, f.put(noted), crop.Replaced)
	noted.SeasonID = season.ID
	f.refused(crop.Conflict, puts(season, noted)...)
}

func testBreakingEdits(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	visit := f.newVisit("2026-03-02", 1)
	twin := f.newPlant("A2")
	twin.OriginID = &f.plant.ID
	f.put(visit, twin)
	late := *f.plant
	late.SownOn = date("2026-03-03")
	e := f.refused(crop.Conflict, puts(&late)...)
	if e.Faults[0].Pointer != "/sown_on" || !strings.Contains(e.Faults[0].Detail, "2026-03-02") {
		t.Errorf("fault %+v, want /sown_on to name the count", e.Faults[0])
	}
	visit.CountedAt = moment("2026-03-04") // mended in the same batch
	wantEffects(t, f.put(&late, visit), crop.Replaced, crop.Replaced)

	f.apply(removal(visit))
	season := &crop.Season{ID: f.store.NewID(), Name: "autumn"}
	late.SeasonID = season.ID
	if e := f.refused(crop.Conflict, puts(season, &late)...); !strings.Contains(e.Faults[0].Detail, "A2") {
		t.Errorf("fault %+v, want it to name the twin", e.Faults[0])
	}
	twin.SeasonID = season.ID
	wantEffects(t, f.put(season, &late, twin), crop.Created, crop.Replaced, crop.Replaced)
}

func testOrigins(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	a, b, c := f.newPlant("O1"), f.newPlant("O2"), f.newPlant("O3")
	b.OriginID, c.OriginID = &a.ID, &b.ID
	f.put(c, b, a)
	a.OriginID = &c.ID
	if e := f.refused(crop.Conflict, puts(a)...); e.Faults[0].Pointer != "/origin_id" {
		t.Errorf("fault at %s", e.Faults[0].Pointer)
	}
}
