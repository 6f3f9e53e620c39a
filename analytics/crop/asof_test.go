package crop_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

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
