package crop_test

import (
	"slices"
	"testing"

	"vinetally/analytics/crop"
)

// TestByPlant: every plant gets its own records, its cultivar and its scale.
func TestByPlant(t *testing.T) {
	trial := trialOf(t, func(trial *crop.Trial) {
		trial.Visits = []crop.Visit{{ID: id(1), PlantID: a1, CountedAt: mom("2026-02-03")}, {ID: id(2), PlantID: a2, CountedAt: mom("2026-02-03")}, {ID: id(3), PlantID: nobody, CountedAt: mom("2026-02-03")}}
		trial.Pickings = []crop.Picking{{ID: id(4), PlantID: &a2, PickedAt: mom("2026-02-03")}, {ID: id(5), PickedAt: mom("2026-02-03")}}
	})
	by := trial.ByPlant()
	if len(by) != 2 || by[0].Plant.Label != "A1" || by[1].Plant.Label != "A2" {
		t.Fatalf("got %d plants, want A1 and A2", len(by))
	}
	if len(by[0].Visits) != 1 || by[0].Visits[0].ID != id(1) || len(by[0].Pickings) != 0 || len(by[1].Visits) != 1 || len(by[1].Pickings) != 1 {
		t.Errorf("the records went to other plants: %+v", by)
	}
	if by[0].Scale.RipeStage != "red" || by[1].Scale.RipeStage != "orange" || by[1].Cultivar.Name != "orange" {
		t.Errorf("scales %q and %q, want red and orange", by[0].Scale.RipeStage, by[1].Scale.RipeStage)
	}
}

// TestUnitRecords: a picking of a unit may be of any plant of the cultivar that stood there that day; where only one did, it
// is of that one.
func TestUnitRecords(t *testing.T) {
	b1 := crop.ID{5, 9}
	for _, c := range []struct {
		name, at     string
		place        crop.ID
		cultivar     crop.ID
		removed      string // of B1
		sure, unsure string // labels
	}{
		{name: "two plants of it there", at: "2026-02-03", place: lisbon, cultivar: plain, unsure: "A1B1"},
		{name: "the other has moved away", at: "2026-03-02", place: lisbon, cultivar: plain, sure: "B1"},
		{name: "where it moved to", at: "2026-03-02", place: auckland, cultivar: plain, sure: "A1"},
		{name: "before it moved there", at: "2026-02-03", place: auckland, cultivar: plain},
		{name: "one plant of the other cultivar", at: "2026-02-03", place: lisbon, cultivar: orange, sure: "A2"},
		{name: "before one was sown", at: "2026-01-15", place: lisbon, cultivar: plain, sure: "A1"},
		{name: "one was removed the day before", at: "2026-02-03", place: lisbon, cultivar: plain, removed: "2026-02-02", sure: "A1"},
		{name: "one is removed on the day", at: "2026-02-03", place: lisbon, cultivar: plain, removed: "2026-02-03", unsure: "A1B1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			unit := crop.Unit{SeasonID: &season, PlaceID: &c.place, CultivarID: &c.cultivar}
			trial := trialOf(t, func(trial *crop.Trial) {
				plant := crop.Plant{ID: b1, SeasonID: season, PlaceID: lisbon, CultivarID: plain, Label: "B1", SownOn: dayp("2026-01-20")}
				if c.removed != "" {
					plant.RemovedOn = dayp(c.removed)
				}
				trial.Plants = append(trial.Plants, plant)
				trial.Pickings = []crop.Picking{{ID: id(1), Unit: unit, PickedAt: mom(c.at), Stage: "red", Fruits: new(3)}}
				trial.Losses = []crop.Loss{{ID: id(2), Unit: unit, LostAt: mom(c.at), Stage: "red", Fruits: new(1)}}
			})
			var sure, unsure, lostSure, lostUnsure string
			for _, r := range trial.ByPlant() {
				for range r.Pickings {
					sure += r.Plant.Label
				}
				for range r.UnitPickings {
					unsure += r.Plant.Label
				}
				for range r.Losses {
					lostSure += r.Plant.Label
				}
				for range r.UnitLosses {
					lostUnsure += r.Plant.Label
				}
			}
			if sure != c.sure || unsure != c.unsure || lostSure != sure || lostUnsure != unsure {
				t.Errorf("surely of %q, perhaps of %q (losses %q, %q); want %q, %q", sure, unsure, lostSure, lostUnsure, c.sure, c.unsure)
			}
		})
	}
}

// TestThrough: days are told by the clock of the place; A2 stands in Lisbon, where 00:30 of 4 July is 23:30 UTC of the 3rd.
func TestThrough(t *testing.T) {
	unit := crop.Unit{SeasonID: &season, PlaceID: &lisbon, CultivarID: &orange}
	trial := trialOf(t, func(trial *crop.Trial) {
		trial.Plants = append(trial.Plants, crop.Plant{ID: crop.ID{5, 9}, SeasonID: season, PlaceID: lisbon, CultivarID: orange, Label: "A3"})
		trial.Visits = []crop.Visit{{ID: id(1), PlantID: a2, CountedAt: mom("2026-07-03T22:30:00Z")}, {ID: id(2), PlantID: a2, CountedAt: mom("2026-07-03T23:30:00Z")}}
		for i, day := range []string{"2026-07-03", "2026-07-04"} {
			n := byte(10 * (i + 1))
			trial.Pickings = append(trial.Pickings, crop.Picking{ID: id(n), PlantID: &a2, PickedAt: mom(day)}, crop.Picking{ID: id(n + 1), Unit: unit, PickedAt: mom(day)})
			trial.Losses = append(trial.Losses, crop.Loss{ID: id(n + 2), PlantID: &a2, LostAt: mom(day)}, crop.Loss{ID: id(n + 3), Unit: unit, LostAt: mom(day)})
		}
	})
	whole := trial.ByPlant()[1]
	for day, want := range map[string]int{"2026-07-02": 0, "2026-07-03": 1, "2026-07-04": 2} {
		r := whole.Through(*dayp(day))
		if got := []int{len(r.Visits), len(r.Pickings), len(r.UnitPickings), len(r.Losses), len(r.UnitLosses)}; !slices.Equal(got, []int{want, want, want, want, want}) {
			t.Errorf("through %s: visits, pickings, unit's, losses, unit's %v, want %d of each", day, got, want)
		}
		if want == 1 && (r.Visits[0].ID != id(1) || r.Pickings[0].ID != id(10) || r.Plant != whole.Plant) {
			t.Errorf("through %s: %+v", day, r)
		}
	}
	if len(whole.Visits) != 2 || whole.Visits[1].ID != id(2) || whole.Losses[1].ID != id(22) {
		t.Errorf("the records that it was taken from changed: %+v", whole)
	}
}
