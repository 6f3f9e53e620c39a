package storagetest

import (
	"fmt"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/storage"
)

func testSeason(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	all := samples(f)
	f.put(all...)
	// A second season, which must not show in the first.
	other := f.newPlant("X1")
	other.SeasonID = all[0].Identity()
	otherVisit := f.newVisit("2026-05-01", 1)
	otherVisit.PlantID = other.ID
	spare := &crop.Place{ID: f.store.NewID(), Name: "spare"}
	f.put(other, otherVisit, spare, &crop.Temperature{ID: f.store.NewID(), PlaceID: spare.ID, MeasuredAt: Now.AddDate(0, -1, 0), AirC: new(1.0)})

	trial, err := f.store.LoadSeason(f.ctx, f.season.ID, storage.Selection{Temperatures: true})
	if err != nil {
		t.Fatalf("load season: %v", err)
	}
	got := fmt.Sprint(len(trial.Scales), len(trial.Cultivars), len(trial.Places), len(trial.Plants), len(trial.Visits), len(trial.Pickings),
		len(trial.Losses), len(trial.Diary), len(trial.Temperatures), len(trial.Germination))
	if want := "1 1 2 2 2 2 2 1 1 1"; got != want {
		t.Errorf("scales, cultivars, places, plants, counts, pickings, losses, diary, readings, germination: %s, want %s", got, want)
	}
	if trial.Change != f.change() {
		t.Errorf("change %d, want %d", trial.Change, f.change())
	}
	for i := range trial.Visits {
		wantSame(t, &trial.Visits[i], f.get(crop.Visits, trial.Visits[i].ID).Record)
	}
	for i := range trial.Plants {
		wantSame(t, &trial.Plants[i], f.get(crop.Plants, trial.Plants[i].ID).Record)
	}
	wantSame(t, &trial.Temperatures[0], f.get(crop.Temperatures, trial.Temperatures[0].ID).Record)
	wantSame(t, &trial.Germination[0], f.get(crop.Germinations, trial.Germination[0].ID).Record)
	wantSame(t, &trial.Diary[0], f.get(crop.Diary, trial.Diary[0].ID).Record)
	for i := range trial.Pickings {
		wantSame(t, &trial.Pickings[i], f.get(crop.Pickings, trial.Pickings[i].ID).Record)
	}
	if p, ok := trial.Plant(f.plant.ID); !ok || p.Label != "A1" {
		t.Error("the trial is not arranged")
	}
	without, err := f.store.LoadSeason(f.ctx, f.season.ID, storage.Selection{})
	if err != nil || len(without.Temperatures) != 0 {
		t.Errorf("readings that were not asked for: %d, %v", len(without.Temperatures), err)
	}
	if _, err := f.store.LoadSeason(f.ctx, f.store.NewID(), storage.Selection{}); crop.CodeOf(err) != crop.NotFound {
		t.Errorf("load of no season: %v", err)
	}
}

func testPlant(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	all := samples(f)
	f.put(all...)
	twin := all[4].(*crop.Plant)
	unitDiary := &crop.DiaryEntry{ID: f.store.NewID(), SeasonID: f.season.ID, NotedAt: moment("2026-05-01"), Kind: "solution changed"}
	twinVisit := f.newVisit("2026-05-01", 3)
	twinVisit.PlantID = twin.ID
	together := &crop.Picking{ID: f.store.NewID(), PlantID: &f.plant.ID, PickedAt: moment("2026-05-06"), Fruits: new(3), MassG: new(40.0), Weighing: "joint"}
	shared, alone := *together, *together
	shared.ID, alone.ID = f.store.NewID(), f.store.NewID()
	shared.PlantID, alone.PlantID = &twin.ID, &twin.ID
	shared.MassG, alone.Weighing = nil, ""
	apart := *together // by itself, as alone is: nothing joins those two
	apart.ID, apart.Weighing = f.store.NewID(), ""
	f.put(unitDiary, twinVisit, together, &shared, &alone, &apart)

	trial, err := f.store.LoadPlant(f.ctx, twin.ID, storage.Selection{Temperatures: true})
	if err != nil {
		t.Fatalf("load plant: %v", err)
	}
	got := fmt.Sprint(len(trial.Plants), len(trial.Visits), len(trial.Pickings), len(trial.Losses), len(trial.Diary), len(trial.Temperatures))
	// Pickings: the unit's, its own two, and the one that was weighed with it.
	if want := "2 1 4 1 1 1"; got != want {
		t.Errorf("plants, counts, pickings, losses, diary, readings: %s, want %s", got, want)
	}
	for _, p := range trial.Pickings {
		if p.PlantID != nil && *p.PlantID == f.plant.ID && p.ID != together.ID {
			t.Errorf("picking %s of another plant", p.ID)
		}
	}
	if _, err := f.store.LoadPlant(f.ctx, f.store.NewID(), storage.Selection{}); crop.CodeOf(err) != crop.NotFound {
		t.Errorf("load of no plant: %v", err)
	}
}

func testReadings(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	f.put(f.newVisit("2026-04-01", 1))
	var readings []crop.Record
	start := time.Date(2026, 2, 20, 0, 0, 0, 0, time.UTC)
	for h := range 24 * 60 {
		readings = append(readings, &crop.Temperature{ID: f.store.NewID(), PlaceID: f.place.ID,
			MeasuredAt: start.Add(time.Duration(h) * time.Hour), AirC: new(float64(h) / 10)})
	}
	f.put(readings...)
	from := start.Add(5 * time.Hour)
	got, err := f.store.Temperatures(f.ctx, f.place.ID, from, from.Add(3*time.Hour))
	if err != nil || len(got) != 4 || !got[0].MeasuredAt.Equal(from) || *got[3].AirC != 0.8 {
		t.Errorf("readings of three hours, both ends included: %d, %v", len(got), err)
	}
	if zone := got[0].MeasuredAt.Location().String(); zone != "Europe/Lisbon" {
		t.Errorf("readings in %s", zone)
	}
	if _, err := f.store.Temperatures(f.ctx, f.store.NewID(), from, from); crop.CodeOf(err) != crop.NotFound {
		t.Errorf("readings of no place: %v", err)
	}
	trial, err := f.store.LoadSeason(f.ctx, f.season.ID, storage.Selection{Temperatures: true})
	if err != nil {
		t.Fatalf("load season: %v", err)
	}
	first, last := trial.Temperatures[0].MeasuredAt, trial.Temperatures[len(trial.Temperatures)-1].MeasuredAt
	// From the day before the sowing on 1 March to the day after the last record on 1 April, at most a day more.
	if limit := time.Date(2026, 2, 28, 0, 0, 0, 0, lisbon); first.After(limit) || first.Before(limit.AddDate(0, 0, -1)) {
		t.Errorf("first reading %s", first)
	}
	if limit := time.Date(2026, 4, 2, 23, 0, 0, 0, lisbon); last.Before(limit) || last.After(limit.AddDate(0, 0, 1)) {
		t.Errorf("last reading %s", last)
	}
}
