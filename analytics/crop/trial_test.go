package crop_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// trialOf puts the small site's season into a trial with the given records.
func trialOf(t *testing.T, fill func(*crop.Trial)) *crop.Trial {
	t.Helper()
	k := site(t)
	trial := &crop.Trial{
		Season: *k.seasons[season],
		Scales: []crop.Scale{*k.scales[crop.DefaultScaleID], *k.scales[orangeScale]}, Cultivars: []crop.Cultivar{*k.cultivars[plain], *k.cultivars[orange]},
		Places: []crop.Place{*k.places[lisbon], *k.places[auckland]}, Plants: []crop.Plant{*k.plants[a2], *k.plants[a1]},
	}
	fill(trial)
	trial.Arrange()
	return trial
}

func id(n byte) crop.ID { return crop.ID{7, n} }

// TestDayAloneTakesCountsTime: on a day with one timed count of the plant a picking, loss of that day takes its time.
func TestDayAloneTakesCountsTime(t *testing.T) {
	const noon = "2026-02-03T12:00:00Z"
	for _, c := range []struct {
		name   string
		counts []crop.Visit
		want   string
	}{
		{"no count", nil, noon},
		{"one timed count", []crop.Visit{{PlantID: a1, CountedAt: mom("2026-02-03T08:15:00Z")}}, "2026-02-03T08:15:00Z"},
		{"written with another offset", []crop.Visit{{PlantID: a1, CountedAt: mom("2026-02-03T09:15:00+01:00")}}, "2026-02-03T08:15:00Z"},
		{"a count of a day alone", []crop.Visit{{PlantID: a1, CountedAt: mom("2026-02-03")}}, noon},
		{"one of each", []crop.Visit{{PlantID: a1, CountedAt: mom("2026-02-03")}, {PlantID: a1, CountedAt: mom("2026-02-03T08:15:00Z")}}, "2026-02-03T08:15:00Z"},
		{"two timed counts", []crop.Visit{{PlantID: a1, CountedAt: mom("2026-02-03T08:15:00Z")}, {PlantID: a1, CountedAt: mom("2026-02-03T17:00:00Z")}}, noon},
		{"three of two times", []crop.Visit{
			{PlantID: a1, CountedAt: mom("2026-02-03T08:15:00Z")}, {PlantID: a1, CountedAt: mom("2026-02-03T17:00:00Z")}, {PlantID: a1, CountedAt: mom("2026-02-03T08:15:00Z")},
		}, noon},
		{"rows of trusses at one time", []crop.Visit{
			{PlantID: a1, CountedAt: mom("2026-02-03T08:15:00Z"), Truss: new(1)}, {PlantID: a1, CountedAt: mom("2026-02-03T08:15:00Z"), Truss: new(2)},
		}, "2026-02-03T08:15:00Z"},
		{"a count of another plant", []crop.Visit{{PlantID: a2, CountedAt: mom("2026-02-03T08:15:00Z")}}, noon},
		{"a count of another day", []crop.Visit{{PlantID: a1, CountedAt: mom("2026-02-04T08:15:00Z")}}, noon},
	} {
		t.Run(c.name, func(t *testing.T) {
			trial := trialOf(t, func(trial *crop.Trial) {
				trial.Visits = slices.Clone(c.counts)
				trial.Pickings = []crop.Picking{{ID: id(1), PlantID: &a1, PickedAt: mom("2026-02-03")}}
				trial.Losses = []crop.Loss{{ID: id(2), PlantID: &a1, LostAt: mom("2026-02-03")}}
			})
			trial.Arrange() // arranging again changes nothing
			picked, lost := trial.Pickings[0].PickedAt, trial.Losses[0].LostAt
			if got := picked.At.UTC().Format("2006-01-02T15:04:05Z07:00"); got != c.want || !lost.At.Equal(picked.At) {
				t.Errorf("the picking stands at %s, the loss at %s; want %s", got, lost.At, c.want)
			}
			if picked.String() != "2026-02-03" || picked.TimeKnown() {
				t.Errorf("the picking is written %s, time known %v; want the day alone", picked, picked.TimeKnown())
			}
		})
	}
}

// TestZonesAndMoves: a moment gets the zone of the place where the plant stood; A1 moved to Auckland on 1 March. The day of
// the move is told by the clock of the first place.
func TestZonesAndMoves(t *testing.T) {
	for _, c := range []struct{ name, at, want, noon string }{
		{"before the move", "2026-02-03T08:00:00Z", "2026-02-03T08:00:00Z", ""},
		{"a minute before it in Lisbon", "2026-02-28T23:59:00Z", "2026-02-28T23:59:00Z", ""},
		{"after the move", "2026-03-01T00:00:00Z", "2026-03-01T13:00:00+13:00", ""},
		{"a day alone before it", "2026-02-28", "2026-02-28", "2026-02-28T12:00:00Z"},
		{"the day of the move alone", "2026-03-01", "2026-03-01", "2026-02-28T23:00:00Z"},
	} {
		trial := trialOf(t, func(trial *crop.Trial) {
			trial.Visits = []crop.Visit{{ID: id(1), PlantID: a1, CountedAt: mom(c.at)}}
		})
		got := trial.Visits[0].CountedAt
		if got.String() != c.want {
			t.Errorf("%s: %s becomes %s, want %s", c.name, c.at, got, c.want)
		}
		if noon := got.At.UTC().Format("2006-01-02T15:04:05Z07:00"); c.noon != "" && noon != c.noon {
			t.Errorf("%s: stands at %s, want %s", c.name, noon, c.noon)
		}
	}
	// Diary entries are placed as counts are; 13:30 UTC of 28 February is already 1 March in Auckland, but not in Lisbon.
	diary := trialOf(t, func(trial *crop.Trial) {
		trial.Diary = []crop.DiaryEntry{{ID: id(1), PlantID: &a1, NotedAt: mom("2026-02-28T12:30:00-01:00")}, {ID: id(2), PlantID: &a1, NotedAt: mom("2026-03-01T00:30:00Z")}}
	})
	if first, second := diary.Diary[0].NotedAt.String(), diary.Diary[1].NotedAt.String(); first != "2026-02-28T13:30:00Z" || second != "2026-03-01T13:30:00+13:00" {
		t.Errorf("diary entries show %s and %s, want the clocks of Lisbon and of Auckland", first, second)
	}
	east := trialOf(t, func(trial *crop.Trial) { // from Auckland to Lisbon: its first place tells the day
		trial.Plants[0].PlaceID, trial.Plants[0].Moves = auckland, []crop.Move{{PlaceID: lisbon, On: *dayp("2026-03-01")}} // A2
		trial.Visits = []crop.Visit{{ID: id(1), PlantID: a2, CountedAt: mom("2026-02-28T10:59:00Z")}, {ID: id(2), PlantID: a2, CountedAt: mom("2026-02-28T11:00:00Z")}}
	})
	if first, second := east.Visits[0].CountedAt.String(), east.Visits[1].CountedAt.String(); first != "2026-02-28T23:59:00+13:00" || second != "2026-02-28T11:00:00Z" {
		t.Errorf("counts show %s and %s, want the clock of Auckland to midnight there, then that of Lisbon", first, second)
	}
	unit := trialOf(t, func(trial *crop.Trial) {
		trial.Pickings = []crop.Picking{{ID: id(1), Unit: crop.Unit{SeasonID: &season, PlaceID: &auckland, CultivarID: &plain}, PickedAt: mom("2026-02-03T08:00:00Z")}}
	})
	if got := unit.Pickings[0].PickedAt.String(); got != "2026-02-03T21:00:00+13:00" {
		t.Errorf("a unit's picking shows %s, want the clock of its place", got)
	}
}

// TestArrangeOrder: plants by label as people read it, records by time.
func TestArrangeOrder(t *testing.T) {
	trial := trialOf(t, func(trial *crop.Trial) {
		trial.Plants = append(trial.Plants, crop.Plant{ID: crop.ID{1}, Label: "A10", PlaceID: lisbon, CultivarID: plain}) // the least id
		for _, hour := range []string{"09", "07", "08"} {
			at := mom("2026-02-03T" + hour + ":00:00Z").At
			trial.Temperatures = append(trial.Temperatures, crop.Temperature{PlaceID: auckland, MeasuredAt: at}, crop.Temperature{PlaceID: lisbon, MeasuredAt: at})
		}
		trial.Visits = []crop.Visit{{ID: id(3), PlantID: a1, CountedAt: mom("2026-02-05")}, {ID: id(2), PlantID: a1, CountedAt: mom("2026-02-03T13:00:00Z")}, {ID: id(1), PlantID: a1, CountedAt: mom("2026-02-03")}}
	})
	var labels []string
	for i := range trial.Plants {
		labels = append(labels, trial.Plants[i].Label)
	}
	if !slices.Equal(labels, []string{"A1", "A2", "A10"}) {
		t.Errorf("plants %v, want A1, A2, A10", labels)
	}
	for i := range trial.Visits {
		if trial.Visits[i].ID != id(byte(i+1)) {
			t.Errorf("count %d is %s, want them in the order of time", i, trial.Visits[i].CountedAt)
		}
	}
	for i := range trial.Temperatures {
		r, place := trial.Temperatures[i], []crop.ID{lisbon, auckland}[i%2]
		if r.MeasuredAt.Hour() != 7+i/2 || r.PlaceID != place {
			t.Errorf("reading %d is of %s at %s, want them by time, then place", i, r.MeasuredAt, r.PlaceID)
		}
	}
	if p, ok := trial.Plant(a2); !ok || p.Label != "A2" {
		t.Errorf("plant %s not found by its id", a2)
	}
}

func TestAsOf(t *testing.T) {
	trial := trialOf(t, func(trial *crop.Trial) {
		trial.Plants[0].RemovedOn, trial.Plants[1].RemovedOn = dayp("2026-02-03"), dayp("2026-02-04") // A2, A1
		trial.Visits = []crop.Visit{{ID: id(1), PlantID: a1, CountedAt: mom("2026-02-03T08:00:00Z")}, {ID: id(2), PlantID: a1, CountedAt: mom("2026-02-03T08:00:01Z")}}
		trial.Pickings = []crop.Picking{{ID: id(3), PlantID: &a1, PickedAt: mom("2026-02-03")}, {ID: id(4), PlantID: &a1, PickedAt: mom("2026-02-04")}}
		trial.Losses = []crop.Loss{{ID: id(5), PlantID: &a1, LostAt: mom("2026-02-02")}, {ID: id(6), PlantID: &a1, LostAt: mom("2026-02-03T08:00:00.001Z")}}
		trial.Diary = []crop.DiaryEntry{{ID: id(7), SeasonID: season, NotedAt: mom("2026-02-03")}, {ID: id(8), SeasonID: season, NotedAt: mom("2026-02-09")}}
		trial.Temperatures = []crop.Temperature{{PlaceID: lisbon, MeasuredAt: mom("2026-02-03T08:00:00Z").At}, {PlaceID: lisbon, MeasuredAt: mom("2026-02-03T09:00:00Z").At}}
		trial.Germination = []crop.Germination{{CountedOn: dayp("2026-02-03")}, {CountedOn: dayp("2026-02-04")}, {}}
	})
	u := trial.AsOf(mom("2026-02-03T08:00:00Z").At)
	got := []int{len(u.Visits), len(u.Pickings), len(u.Losses), len(u.Diary), len(u.Temperatures), len(u.Germination)}
	if want := []int{1, 1, 1, 1, 1, 1}; !slices.Equal(got, want) {
		t.Errorf("visits, pickings, losses, diary, temperatures, germination: got %v, want %v", got, want)
	}
	gone, _ := u.Plant(a2)
	stands, _ := u.Plant(a1)
	if gone.RemovedOn == nil || stands.RemovedOn != nil {
		t.Errorf("removed today %v, removed tomorrow %v; want the first removed, the second standing", gone.RemovedOn, stands.RemovedOn)
	}
	if by := u.ByPlant(); by[0].Plant.RemovedOn != nil || by[1].Plant.RemovedOn == nil {
		t.Errorf("the records by plant disagree with that")
	}
	if p, _ := trial.Plant(a1); p.RemovedOn == nil || len(trial.Visits) != 2 {
		t.Errorf("the trial it was taken from changed: removed %v, %d visits", p.RemovedOn, len(trial.Visits))
	}
}

// TestOver: a season is over when its last day is past everywhere; the trial's places are Lisbon and Auckland.
func TestOver(t *testing.T) {
	trial := trialOf(t, func(trial *crop.Trial) { trial.Season.LastDay = dayp("2026-03-01") })
	endless := trialOf(t, func(trial *crop.Trial) { trial.Season.LastDay = nil })
	if trial.Over() {
		t.Error("a trial that was not cut is over")
	}
	for asOf, want := range map[string]bool{
		"2026-03-01T23:59:59Z": false, // past in Auckland alone
		"2026-03-02T00:00:00Z": true,
		"2026-03-01T10:00:00Z": false,
		"2025-12-01T00:00:00Z": false,
	} {
		at := mom(asOf).At
		if got := trial.AsOf(at).Over(); got != want {
			t.Errorf("as of %s: over %t, want %t", asOf, got, want)
		}
		for _, r := range trial.AsOf(at).ByPlant() {
			if r.SeasonOver != want {
				t.Errorf("as of %s, %s: the season is over %t, want %t", asOf, r.Plant.Label, r.SeasonOver, want)
			}
		}
		if endless.AsOf(at).Over() {
			t.Errorf("as of %s: a season without a last day is over", asOf)
		}
	}
}

func TestLastRecord(t *testing.T) {
	trial := trialOf(t, func(trial *crop.Trial) { trial.Plants = nil })
	if at := trial.LastRecord(); !at.IsZero() {
		t.Errorf("nothing was recorded, but the last record is of %s", at)
	}
	trial = trialOf(t, func(trial *crop.Trial) {
		trial.Plants[1].Moves = nil // of A1
		trial.Visits = []crop.Visit{{ID: id(1), PlantID: a1, CountedAt: mom("2026-02-03T08:00:00Z")}}
		trial.Losses = []crop.Loss{{ID: id(2), PlantID: &a1, LostAt: mom("2026-02-05")}}
	})
	if got := trial.LastRecord().UTC().Format("2006-01-02T15:04:05.000Z"); got != "2026-02-05T23:59:59.999Z" {
		t.Errorf("last record %s, want the end of the day of the loss", got)
	}
	// What happened to a plant was recorded too, so that a report of the last record shows it: by the clock where it stood.
	for what, c := range map[string]struct {
		change func(a1 *crop.Plant)
		want   string
	}{
		"sown":         {func(p *crop.Plant) { p.SownOn = dayp("2026-02-06") }, "2026-02-06T23:59:59.999Z"},
		"transplanted": {func(p *crop.Plant) { p.TransplantedOn = dayp("2026-02-07") }, "2026-02-07T23:59:59.999Z"},
		"removed":      {func(p *crop.Plant) { p.RemovedOn = dayp("2026-02-08") }, "2026-02-08T23:59:59.999Z"},
		"moved":        {func(p *crop.Plant) { p.Moves = []crop.Move{{PlaceID: auckland, On: *dayp("2026-02-09")}} }, "2026-02-09T10:59:59.999Z"},
	} {
		trial := trialOf(t, func(trial *crop.Trial) {
			trial.Plants[1].Moves = nil
			c.change(&trial.Plants[1])
		})
		at := trial.LastRecord()
		if got := at.UTC().Format("2006-01-02T15:04:05.000Z"); got != c.want {
			t.Errorf("A1 %s last: last record %s, want %s", what, got, c.want)
		}
		if u := trial.AsOf(at); len(u.Plants) != 2 || u.Plants[0].RemovedOn != trial.Plants[0].RemovedOn || len(u.Plants[0].Moves) != len(trial.Plants[0].Moves) {
			t.Errorf("A1 %s last: as of the last record %+v, want it as recorded", what, u.Plants)
		}
	}
}

// TestAsOfPlants: what happens to a plant later doesn't show. A1 stands in Lisbon, where a day begins at midnight UTC in winter,
// and goes to Auckland, where it begins 13 hours before.
func TestAsOfPlants(t *testing.T) {
	trial := trialOf(t, func(trial *crop.Trial) {
		trial.Plants[1].TransplantedOn, trial.Plants[1].RemovedOn = dayp("2026-02-01"), dayp("2026-03-05") // A1
		trial.Plants[1].Moves = append(trial.Plants[1].Moves, crop.Move{PlaceID: lisbon, On: *dayp("2026-03-03")})
		trial.Plants[0].SownOn, trial.Plants[0].TransplantedOn = nil, dayp("2026-02-10") // A2, bought
	})
	whole := fmt.Sprintf("%+v", trial.Plants)
	for _, c := range []struct {
		asOf string
		want string // plants, whether transplanted, moves, whether removed
	}{
		{"2026-01-09T23:59:59Z", ""},
		{"2026-01-10T00:00:00Z", "A1 - 0 -"},
		{"2026-01-09T20:00:00-04:00", "A1 - 0 -"},
		{"2026-01-31T23:59:59Z", "A1 - 0 -"},
		{"2026-02-01T00:00:00Z", "A1 t 0 -"},
		{"2026-02-09T23:59:59Z", "A1 t 0 -"},
		{"2026-02-10T00:00:00Z", "A1 t 0 -, A2 t 0 -"},
		{"2026-02-28T10:59:59Z", "A1 t 0 -, A2 t 0 -"},
		{"2026-02-28T11:00:00Z", "A1 t 1 -, A2 t 0 -"},
		{"2026-03-02T23:59:59Z", "A1 t 1 -, A2 t 0 -"},
		{"2026-03-03T00:00:00Z", "A1 t 2 -, A2 t 0 -"},
		{"2026-03-05T00:00:00Z", "A1 t 2 r, A2 t 0 -"},
	} {
		u := trial.AsOf(mom(c.asOf).At)
		var got []string
		for _, p := range u.Plants {
			mark := func(d *crop.Date, m string) string {
				if d == nil {
					return "-"
				}
				return m
			}
			got = append(got, fmt.Sprintf("%s %s %d %s", p.Label, mark(p.TransplantedOn, "t"), len(p.Moves), mark(p.RemovedOn, "r")))
			if same, ok := u.Plant(p.ID); !ok || len(same.Moves) != len(p.Moves) {
				t.Errorf("as of %s: %s isn't found by its id as it is listed", c.asOf, p.Label)
			}
		}
		if g := strings.Join(got, ", "); g != c.want {
			t.Errorf("as of %s: %q, want %q", c.asOf, g, c.want)
		}
		if _, ok := u.Plant(a2); ok != strings.Contains(c.want, "A2") {
			t.Errorf("as of %s: A2 found by its id %v", c.asOf, ok)
		}
		if by := u.ByPlant(); len(by) != len(u.Plants) {
			t.Errorf("as of %s: records of %d plants, want %d", c.asOf, len(by), len(u.Plants))
		}
	}
	if got := fmt.Sprintf("%+v", trial.Plants); got != whole {
		t.Errorf("looking back changed the trial:\n%s\nwant\n%s", got, whole)
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

// TestDayAloneOfAMovedPlant: the day of a picking is that of the place where the plant stood, and so is the day of the count
// whose time it takes. Auckland is 13 hours ahead of UTC in March.
func TestDayAloneOfAMovedPlant(t *testing.T) {
	for _, c := range []struct{ name, count, picked, want string }{
		{"before the move, by the clock of Lisbon", "2026-02-28T23:30:00Z", "2026-02-28", "2026-02-28T23:30:00Z"},
		{"after it, in the morning of Auckland", "2026-03-04T20:00:00Z", "2026-03-05", "2026-03-04T20:00:00Z"},
		{"not by the day in UTC", "2026-03-04T20:00:00Z", "2026-03-04", "2026-03-03T23:00:00Z"},
		{"written in Lisbon's time", "2026-03-04T20:00:00+00:00", "2026-03-05", "2026-03-04T20:00:00Z"},
	} {
		trial := trialOf(t, func(trial *crop.Trial) {
			trial.Visits = []crop.Visit{{ID: id(1), PlantID: a1, CountedAt: mom(c.count)}}
			trial.Pickings = []crop.Picking{{ID: id(2), PlantID: &a1, PickedAt: mom(c.picked)}}
		})
		if got := trial.Pickings[0].PickedAt.At.UTC().Format("2006-01-02T15:04:05Z07:00"); got != c.want {
			t.Errorf("%s: a picking of %s stands at %s, want %s", c.name, c.picked, got, c.want)
		}
	}
}

// TestUnplacedDays: germination counts and diary days that name no plant lie within as-of once their day has begun at one of
// the trial's places, whatever zone as-of is told in.
func TestUnplacedDays(t *testing.T) {
	trial := trialOf(t, func(trial *crop.Trial) {
		trial.Germination = []crop.Germination{{ID: id(2), CountedOn: dayp("2026-02-04")}, {ID: id(1), CountedOn: dayp("2026-02-04")}, {ID: id(3), CountedOn: dayp("2026-02-03")}}
		trial.Diary = []crop.DiaryEntry{{ID: id(4), NotedAt: mom("2026-02-04")}, {ID: id(5), PlantID: &a2, NotedAt: mom("2026-02-04")}}
	})
	if g := trial.Germination; g[0].ID != id(3) || g[1].ID != id(1) || g[2].ID != id(2) {
		t.Errorf("germination counts are not in the order of their days, then ids: %v", g)
	}
	nowhere := *trial
	nowhere.Places = nil
	nowhere.Arrange()
	for _, c := range []struct {
		name, asOf         string
		trial              *crop.Trial
		germination, diary int
	}{
		{"begun nowhere", "2026-02-03T10:59:59Z", trial, 1, 0},
		{"begun in Auckland, not in Lisbon where A2 stands", "2026-02-03T11:00:00Z", trial, 3, 1},
		{"the same told in another zone", "2026-02-03T01:00:00-10:00", trial, 3, 1},
		{"begun in Lisbon too", "2026-02-04T00:00:00Z", trial, 3, 2},
		{"without places by UTC", "2026-02-04T12:59:59+13:00", &nowhere, 1, 0},
		{"without places, begun", "2026-02-03T19:00:00-05:00", &nowhere, 3, 2},
	} {
		u := c.trial.AsOf(mom(c.asOf).At)
		if len(u.Germination) != c.germination || len(u.Diary) != c.diary {
			t.Errorf("%s: %d germination counts and %d diary entries, want %d and %d", c.name, len(u.Germination), len(u.Diary), c.germination, c.diary)
		}
	}
}

// TestRemovedByItsClock: a plant is removed as soon as the day of it has begun where the plant stood. A1 stood in Auckland,
// where 5 March begins at 11:00 UTC of the 4th.
func TestRemovedByItsClock(t *testing.T) {
	trial := trialOf(t, func(trial *crop.Trial) {
		for i := range trial.Plants {
			trial.Plants[i].RemovedOn = dayp("2026-03-05")
		}
	})
	for _, c := range []struct {
		asOf   string
		a1, a2 bool // removed
	}{
		{"2026-03-04T10:59:59Z", false, false}, {"2026-03-04T11:00:00Z", true, false}, {"2026-03-05T00:00:00Z", true, true},
	} {
		u := trial.AsOf(mom(c.asOf).At)
		p1, _ := u.Plant(a1)
		p2, _ := u.Plant(a2)
		if (p1.RemovedOn != nil) != c.a1 || (p2.RemovedOn != nil) != c.a2 {
			t.Errorf("as of %s: A1 in Auckland removed %v, A2 in Lisbon %v; want %v, %v", c.asOf, p1.RemovedOn != nil, p2.RemovedOn != nil, c.a1, c.a2)
		}
	}
}
