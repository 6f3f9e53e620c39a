package crop_test

import (
	"slices"
	"testing"

	"vinetally/analytics/crop"
)

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
