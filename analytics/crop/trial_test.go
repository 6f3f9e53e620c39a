package crop_test

import (
	"slices"
	"testing"
	"time"

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

func TestLastStamped(t *testing.T) {
	trial := trialOf(t, func(*crop.Trial) {})
	if at := trial.LastStamped(); !at.IsZero() {
		t.Errorf("nothing was recorded, but the last instant is %s", at)
	}
	stamp := func(at string) func(*crop.Trial) {
		return func(trial *crop.Trial) {
			trial.Visits = []crop.Visit{{ID: id(1), PlantID: a1, CountedAt: mom("2026-02-03T08:00:00Z")}, {ID: id(2), PlantID: a1, CountedAt: mom("2026-02-09")}}
			m := mom(at)
			trial.Pickings = []crop.Picking{{ID: id(3), PlantID: &a1, PickedAt: m}}
		}
	}
	for at, want := range map[string]string{"2026-02-04T08:00:00Z": "2026-02-04T08:00:00Z", "2026-02-01T08:00:00Z": "2026-02-03T08:00:00Z", "2026-02-05": "2026-02-03T08:00:00Z"} {
		if got := trialOf(t, stamp(at)).LastStamped().UTC().Format(time.RFC3339); got != want {
			t.Errorf("a picking at %s: the last instant is %s, want %s", at, got, want)
		}
	}
	later := mom("2026-02-06T10:00:00Z")
	for what, add := range map[string]func(*crop.Trial){
		"a loss":        func(t *crop.Trial) { t.Losses = []crop.Loss{{ID: id(4), PlantID: &a1, LostAt: later}} },
		"a diary entry": func(t *crop.Trial) { t.Diary = []crop.DiaryEntry{{ID: id(4), PlantID: &a1, NotedAt: later}} },
		"a reading": func(t *crop.Trial) {
			t.Temperatures = []crop.Temperature{{ID: id(4), PlaceID: lisbon, MeasuredAt: later.At}}
		},
	} {
		if got := trialOf(t, add).LastStamped(); !got.Equal(later.At) {
			t.Errorf("%s: the last instant is %s, want %s", what, got, later.At)
		}
	}
}

func TestZone(t *testing.T) {
	for name, c := range map[string]struct {
		keep func([]crop.Place) []crop.Place
		want string
	}{
		"one zone":  {func(p []crop.Place) []crop.Place { return p[:1] }, "Europe/Lisbon"},
		"two zones": {func(p []crop.Place) []crop.Place { return p }, "UTC"},
		"no places": {func([]crop.Place) []crop.Place { return nil }, "UTC"},
	} {
		trial := trialOf(t, func(*crop.Trial) {})
		trial.Places = c.keep(trial.Places)
		if got := trial.Zone().String(); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

func TestCultivarOf(t *testing.T) {
	trial := trialOf(t, func(trial *crop.Trial) {
		trial.Plants = append(trial.Plants, crop.Plant{ID: crop.ID{5, 9}, Label: "B1", CultivarID: nobody, PlaceID: lisbon})
	})
	for name, c := range map[string]struct {
		plant *crop.ID
		unit  crop.Unit
		want  crop.ID
	}{
		"of a plant":                               {plant: &a2, want: orange},
		"of a unit":                                {unit: crop.Unit{CultivarID: &plain}, want: plain},
		"of neither":                               {},
		"of a plant that isn't there":              {plant: &nobody},
		"of a plant whose cultivar isn't there":    {plant: &crop.ID{5, 9}},
		"of a unit of a cultivar that isn't there": {unit: crop.Unit{CultivarID: &nobody}},
	} {
		v, ok := trial.CultivarOf(c.plant, &c.unit)
		if ok != (c.want != crop.ID{}) || ok && v.ID != c.want {
			t.Errorf("%s: got %v, %v; want %s", name, v, ok, c.want)
		}
	}
}

// TestCultivarsInOrder: cultivars are in the order of their names as people read them, in every list of a report.
func TestCultivarsInOrder(t *testing.T) {
	tr := trialOf(t, func(tr *crop.Trial) {
		tr.Cultivars = append(tr.Cultivars, crop.Cultivar{ID: id(101), Name: "Line 10"}, crop.Cultivar{ID: id(102), Name: "Line 2"})
	})
	var names []string
	for _, c := range tr.Cultivars {
		names = append(names, c.Name)
	}
	ten, two := slices.Index(names, "Line 10"), slices.Index(names, "Line 2")
	if two > ten {
		t.Errorf("got %q", names)
	}
	if c, ok := tr.Cultivar(id(102)); !ok || c.Name != "Line 2" {
		t.Errorf("the look-up gives %v", c)
	}
}
