package storage

import (
	"path/filepath"
	"reflect"
	"testing"

	"vinetally/analytics/crop"
)

// TestEvidenceIsThePlantsPart holds the small load against the load of the plant's season.
func TestEvidenceIsThePlantsPart(t *testing.T) {
	ctx := t.Context()
	db, err := Open(ctx, filepath.Join(t.TempDir(), "evidence.db"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	s := db.Site()
	day := func(text string) crop.Date {
		d, err := crop.ParseDate(text)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	at := func(text string) crop.Moment {
		m, err := crop.ParseMoment(text)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	season := &crop.Season{ID: s.NewID(), Name: "spring"}
	place, bay := &crop.Place{ID: s.NewID(), Name: "bench", TimeZone: "Europe/Lisbon"}, &crop.Place{ID: s.NewID(), Name: "bay", TimeZone: "Asia/Tokyo"}
	cultivar := &crop.Cultivar{ID: s.NewID(), Name: "Pebble"}
	plant := func(label string) *crop.Plant {
		return &crop.Plant{ID: s.NewID(), SeasonID: season.ID, PlaceID: place.ID, CultivarID: cultivar.ID, Label: label, SownOn: new(day("2026-01-01"))}
	}
	a, b := plant("A1"), plant("A2")
	a.Moves = []crop.Move{{PlaceID: bay.ID, On: day("2026-03-01")}}
	unit := crop.Unit{SeasonID: &season.ID, PlaceID: &place.ID, CultivarID: &cultivar.ID}
	records := []crop.Record{season, place, bay, cultivar, a, b,
		&crop.Visit{ID: s.NewID(), PlantID: a.ID, CountedAt: at("2026-02-03"), Counts: map[string]int{"green": 3}},
		&crop.Visit{ID: s.NewID(), PlantID: a.ID, CountedAt: at("2026-03-03T08:00:00Z"), Counts: map[string]int{"green": 2}},
		&crop.Visit{ID: s.NewID(), PlantID: b.ID, CountedAt: at("2026-02-03"), Counts: map[string]int{"green": 5}},
		&crop.Picking{ID: s.NewID(), PlantID: &a.ID, PickedAt: at("2026-02-04"), Fruits: new(1)},
		&crop.Picking{ID: s.NewID(), Unit: unit, PickedAt: at("2026-02-05"), Fruits: new(2)},
		&crop.Loss{ID: s.NewID(), PlantID: &b.ID, LostAt: at("2026-02-04"), Stage: "red", Fruits: new(1), Cause: crop.Split},
		&crop.Loss{ID: s.NewID(), Unit: unit, LostAt: at("2026-02-06"), Stage: "red", Fruits: new(1), Cause: crop.Split},
	}
	changes := make([]crop.Change, len(records))
	for i, r := range records {
		changes[i].Record = r
	}
	if _, err := s.Apply(ctx, changes, crop.ApplyOptions{}); err != nil {
		t.Fatal(err)
	}
	small, err := s.LoadEvidence(ctx, a.ID)
	if err != nil {
		t.Fatal(err)
	}
	whole, err := s.LoadPlant(ctx, a.ID, Selection{})
	if err != nil {
		t.Fatal(err)
	}
	for _, pair := range [][2]any{{small.Visits, whole.Visits}, {small.Pickings, whole.Pickings}, {small.Losses, whole.Losses}} {
		if !reflect.DeepEqual(pair[0], pair[1]) {
			t.Errorf("got %+v, want %+v", pair[0], pair[1])
		}
	}
	if len(small.Visits) != 2 || len(small.Pickings) != 2 || len(small.Losses) != 1 || len(small.Plants) != 1 {
		t.Errorf("%d visits, %d pickings, %d losses, %d plants; want 2, 2, 1, 1", len(small.Visits), len(small.Pickings), len(small.Losses), len(small.Plants))
	}
	if _, err := s.LoadEvidence(ctx, s.NewID()); crop.CodeOf(err) != crop.NotFound {
		t.Errorf("no such plant: %v", err)
	}
}
