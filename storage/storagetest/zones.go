package storagetest

import (
	"strings"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/storage"
)

func testZone(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	day, timed := f.newVisit("2026-05-01", 1), f.newVisit("2026-05-01T12:30:00+01:00", 2)
	unit := &crop.Picking{ID: f.store.NewID(), Unit: crop.Unit{SeasonID: &f.season.ID, PlaceID: &f.place.ID, CultivarID: &f.cultivar.ID},
		PickedAt: moment("2026-05-01"), MassG: new(9.0)}
	f.put(day, timed, unit)
	order := func() string {
		page, err := f.store.List(f.ctx, crop.Visits, crop.Filter{})
		if err != nil {
			t.Fatalf("list: %v", err)
		}
		var all []string
		for _, s := range page.Items {
			all = append(all, s.Record.(*crop.Visit).CountedAt.String())
		}
		return strings.Join(all, " ")
	}
	if got, want := order(), "2026-05-01 2026-05-01T12:30:00+01:00"; got != want {
		t.Errorf("counts in Lisbon: %s, want %s", got, want) // noon, half past noon
	}
	f.place.TimeZone = "America/New_York"
	f.put(f.place)
	if got, want := order(), "2026-05-01T07:30:00-04:00 2026-05-01"; got != want {
		t.Errorf("counts in New York: %s, want %s", got, want) // half past seven, noon
	}
	for _, r := range []crop.Record{day, timed, unit} {
		if s := f.get(r.RecordKind(), r.Identity()); s.Version != 1 {
			t.Errorf("a new zone made version %d of a %s", s.Version, r.RecordKind())
		}
	}
	trial, err := f.store.LoadSeason(f.ctx, f.season.ID, storage.Selection{})
	if err != nil {
		t.Fatalf("load season: %v", err)
	}
	// Noon in New York is 16:00 UTC in May (daylight time, UTC-4).
	if got := trial.Pickings[0].PickedAt.At.UTC().Format("15:04"); got != "16:00" {
		t.Errorf("the unit's picking stands at %s UTC, want 16:00", got)
	}
	// A count half an hour into the sowing day in Lisbon was on the day before in New York.
	f.place.TimeZone = "Europe/Lisbon"
	early := f.newVisit("2026-03-01T00:30:00Z", 0)
	f.apply(based(f.place, 2), puts(early)[0])
	f.place.TimeZone = "America/New_York"
	if e := f.refused(crop.Conflict, based(f.place, 3)); e.Faults[0].Pointer != "/time_zone" {
		t.Errorf("fault at %s, want /time_zone", e.Faults[0].Pointer)
	}
	// The zone may come in one batch with what is read in it.
	early.CountedAt = moment("2026-03-02")
	later := f.newVisit("2026-05-02", 1)
	out := f.apply(puts(later)[0], puts(early)[0], based(f.place, 3), puts(day)[0])
	wantEffects(t, out, crop.Created, crop.Replaced, crop.Replaced, crop.Unchanged)
	for _, i := range []int{0, 1, 3} {
		if got := out[i].Record.(*crop.Visit).CountedAt.At.UTC().Hour(); got != 16 && got != 17 {
			t.Errorf("day %d stands at %d:00 UTC, want noon in New York", i, got)
		}
	}
	if got, want := order(), "2026-03-02 2026-05-01T07:30:00-04:00 2026-05-01 2026-05-02"; got != want {
		t.Errorf("counts: %s, want %s", got, want)
	}
}

func testMovedPlant(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	balcony := &crop.Place{ID: f.store.NewID(), Name: "balcony", TimeZone: "Asia/Kolkata"} // UTC+5:30
	before, after := f.newVisit("2026-04-09", 1), f.newVisit("2026-04-10", 2)
	f.put(balcony, before, after)
	f.plant.Moves = []crop.Move{{PlaceID: balcony.ID, On: *date("2026-04-10")}}
	f.put(f.plant)
	for _, c := range []struct {
		visit *crop.Visit
		want  string
	}{{before, "2026-04-09T11:00:00Z"}, {after, "2026-04-10T06:30:00Z"}} { // noon at UTC+1, noon at UTC+5:30
		got := f.get(crop.Visits, c.visit.ID).Record.(*crop.Visit).CountedAt
		if at := got.At.UTC().Format("2006-01-02T15:04:05Z07:00"); at != c.want {
			t.Errorf("count of %s stands at %s, want %s", got, at, c.want)
		}
	}
	balcony.TimeZone = ""
	f.put(balcony)
	trial, err := f.store.LoadSeason(f.ctx, f.season.ID, storage.Selection{})
	if err != nil {
		t.Fatalf("load season: %v", err)
	}
	if got := trial.Visits[1].CountedAt.At.UTC().Hour(); got != 12 {
		t.Errorf("after the move the count stands at %d:00 UTC, want 12:00", got)
	}
	from := Now.AddDate(0, 0, -52).Truncate(24 * 3600e9) // 10 April
	page, err := f.store.List(f.ctx, crop.Visits, crop.Filter{PlaceID: &balcony.ID, From: &from})
	if err != nil || len(page.Items) != 1 {
		t.Errorf("counts at the balcony since the move: %d, %v; want 1", len(page.Items), err)
	}
}
