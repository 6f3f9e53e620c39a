package storage

import (
	"fmt"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

// TestStandingEvents: whatever this program and another write, a witness sees what a load from the database gives.
func TestStandingEvents(t *testing.T) {
	path := filepath.Join(t.TempDir(), "events.db")
	var sites []*Site
	for range 2 {
		db, err := Open(t.Context(), path, Options{Now: func() time.Time { return testNow }})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { db.Close() })
		sites = append(sites, db.Site())
	}
	trials, stored := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		trials++
		tr := newTrial(sites[0], fmt.Sprint("events ", trials), 3)
		mustApply(t, sites[0], tr.base())
		other := &crop.Cultivar{ID: sites[0].NewID(), Name: tr.cultivar.Name + " other"}
		mustApply(t, sites[0], []crop.Change{{Record: other}})
		var past []crop.Record
		for range rapid.IntRange(3, 12).Draw(rt, "steps") {
			s := sites[rapid.IntRange(0, 5).Draw(rt, "who, mostly this program")/5]
			changes := make([]crop.Change, rapid.IntRange(1, 2).Draw(rt, "changes"))
			for i := range changes {
				changes[i] = drawEvent(rt, s, tr, other, past)
			}
			by := &witness{}
			for _, p := range tr.plants {
				by.plants = append(by.plants, p.ID)
			}
			if _, err := s.Apply(t.Context(), changes, crop.ApplyOptions{Witness: by}); err != nil {
				continue // refused, such as the deletion of what has gone, or a sowing after a count
			}
			stored++
			for _, c := range changes {
				past = append(past, c.Record)
			}
			for i, plant := range by.plants {
				want, err := s.LoadEvidence(t.Context(), plant)
				if err != nil {
					rt.Fatal(err)
				}
				got := by.evidence[i]
				if !sameRecords(got.Visits, want.Visits) || !sameRecords(got.Pickings, want.Pickings) || !sameRecords(got.Losses, want.Losses) {
					rt.Fatalf("plant %d after %+v:\n%+v\n%+v\n%+v, want\n%+v\n%+v\n%+v", i, changes, got.Visits, got.Pickings, got.Losses,
						want.Visits, want.Pickings, want.Losses)
				}
			}
		}
	})
	if stored < 3*trials {
		t.Errorf("%d batches stored in %d trials, so this test says little", stored, trials)
	}
}

func sameRecords[T any](a, b []T) bool { return len(a) == 0 && len(b) == 0 || reflect.DeepEqual(a, b) }

// drawEvent is a new event of a plant or a unit, an edit or a deletion of one from before, or an edit of a plant or the place.
func drawEvent(rt *rapid.T, s *Site, tr *trial, other *crop.Cultivar, past []crop.Record) crop.Change {
	plant := rapid.SampledFrom(tr.plants).Draw(rt, "plant")
	day := crop.Date{Year: 2026, Month: 2, Day: rapid.IntRange(1, 28).Draw(rt, "day")}
	m := crop.DayMoment(day, time.UTC)
	if rapid.Bool().Draw(rt, "with its time") {
		m = crop.InstantMoment(time.Date(day.Year, time.Month(day.Month), day.Day, 8, 0, 0, 123_456_789, time.FixedZone("", 3600)))
	}
	red := rapid.IntRange(0, 9).Draw(rt, "red")
	id := s.NewID()
	var earlier crop.Record
	if len(past) > 0 && rapid.IntRange(0, 3).Draw(rt, "an earlier one") == 0 {
		earlier = rapid.SampledFrom(past).Draw(rt, "which")
		others := len(referrers[earlier.RecordKind()]) > 0 // may refer to it
		if !others && rapid.IntRange(0, 2).Draw(rt, "delete it") == 0 {
			return crop.Change{Record: earlier, Delete: true}
		}
		id = earlier.Identity()
	}
	kind := rapid.SampledFrom([]crop.Kind{crop.Visits, crop.Visits, crop.Pickings, crop.Losses, crop.Plants, crop.Places}).Draw(rt, "kind")
	if earlier != nil {
		kind = earlier.RecordKind()
	}
	ofUnit := rapid.IntRange(0, 4).Draw(rt, "of a unit") == 0
	unit := crop.Unit{SeasonID: &tr.season.ID, PlaceID: &tr.place.ID, CultivarID: &tr.cultivar.ID}
	switch kind {
	case crop.Visits:
		return crop.Change{Record: &crop.Visit{ID: id, PlantID: plant.ID, CountedAt: m, Counts: map[string]int{"red": red}}}
	case crop.Pickings:
		p := &crop.Picking{ID: id, PickedAt: m, Fruits: &red}
		if p.PlantID = &plant.ID; ofUnit {
			p.PlantID, p.Unit = nil, unit
		}
		return crop.Change{Record: p}
	case crop.Losses:
		l := &crop.Loss{ID: id, LostAt: m, Fruits: &red, Stage: "red", Cause: crop.Dropped}
		if l.PlantID = &plant.ID; ofUnit {
			l.PlantID, l.Unit = nil, unit
		}
		return crop.Change{Record: l}
	case crop.Places:
		zone := rapid.SampledFrom([]string{"Europe/Lisbon", "Asia/Tokyo", "Pacific/Auckland"}).Draw(rt, "zone")
		return crop.Change{Record: &crop.Place{ID: tr.place.ID, Name: tr.place.Name, TimeZone: zone}}
	default:
		p := *plant
		p.SownOn = &crop.Date{Year: 2026, Month: 1, Day: red + 1}
		if ofUnit {
			p.CultivarID = other.ID
		}
		return crop.Change{Record: &p}
	}
}
