package crop_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// ids of the small site as they stand in a body.
var ids = strings.NewReplacer("SEASON", season.String(), "PLACE", lisbon.String(), "PLAIN", plain.String(), "ORANGE", orange.String(),
	"SCALE", orangeScale.String(), "A1", a1.String(), "Z9", elsewhere.String(), "NOBODY", nobody.String(), "ID", fresh.String())

// TestWords: every rule in the words that a grower reads. The bodies are those of the contract; now is 2026-06-01T12:00:00Z.
func TestWords(t *testing.T) {
	for _, c := range []struct {
		kind    crop.Kind
		body    string // without its id
		pointer string
		want    string
	}{
		{"seasons", `"name":" "`, "/name", "is empty; give a name"},
		{"seasons", `"name":"a\tb"`, "/name", "is \"a\\tb\", which has a line break or tab; write it on one line"},
		{"seasons", `"name":"a\u001bb"`, "/name", "has the control character U+001B; take it out"},
		{"seasons", `"name":"` + strings.Repeat("ü", 201) + `"`, "/name", "has 201 characters; it may have at most 200, so shorten it"},
		{"seasons", `"name":"x","first_day":"2026-05-02","last_day":"2026-05-01"`, "/last_day", "is 2026-05-01, before the first day, 2026-05-02; mend one of the two days"},
		{"places", `"name":"x","time_zone":"Lisbon"`, "/time_zone", `is "Lisbon", which is not a zone of the IANA database; write a name such as Europe/Lisbon or UTC`},
		{"scales", `"name":"x","stages":[{"name":"a"},{"name":"a"},{"name":"b"}],"ripe_stage":"b"`, "/stages/1/name", `is "a", which stands twice; name every stage once`},
		{"scales", `"name":"x","stages":[{"name":"a"},{"name":"total"}],"ripe_stage":"total"`, "/stages/1/name", `is "total", which is the name of another column of counts.csv; choose another word`},
		{"scales", `"name":"x","stages":[{"name":"a"},{"name":"b"}],"ripe_stage":"red"`, "/ripe_stage", `is "red", which is not one of the stages; name the stage at which fruit counts as ripe`},
		{"scales", `"name":"x","stages":[{"name":"a"},{"name":"b"}],"ripe_stage":"a"`, "/ripe_stage", `is "a", the first stage; name a later one, or add a stage before it`},
		{"scales", `"name":"x","stages":[{"name":"a"},{"name":"b"},{"name":" "}],"ripe_stage":"b"`, "/stages/2/name", "is empty; give a name"},
		{"scales", `"name":"x","stages":[{"name":"a"},{"name":"b"}]`, "/ripe_stage", "is missing; name the stage at which fruit counts as ripe"},
		{"cultivars", `"name":"x","scale_id":"NOBODY"`, "/scale_id", "is NOBODY, but there is no ripeness scale with this id; make it first, or mend the id"},
		{"cultivars", `"name":"x","hold_days":0`, "/hold_days", "is 0; it must be 0.25 to 365 days"},
		{"cultivars", `"name":"x","note":"` + strings.Repeat("x", 4001) + `"`, "/note", "has 4001 characters; it may have at most 4000, so shorten it"},
		{"plants", `PLANT`, "/sown_on", "is missing; give the sowing date, or transplanted_on for a plant whose sowing date isn't known"},
		{"plants", `PLANT,"sown_on":"2026-06-03"`, "/sown_on", "is 2026-06-03, which is in the future; mend it, or record it once it has happened"},
		{"plants", `PLANT,"sown_on":"2026-02-03","transplanted_on":"2026-02-02"`, "/transplanted_on", "is 2026-02-02, before the plant was sown, 2026-02-03; mend one of the two days"},
		{"plants", `PLANT,"transplanted_on":"2026-02-03","removed_on":"2026-02-02"`, "/removed_on", "is 2026-02-02, before the plant was transplanted, 2026-02-03; mend one of the two days"},
		{"plants", `PLANT,"sown_on":"2026-02-03","origin_id":"ID"`, "/origin_id", "is the plant's own id; name the plant it was separated from"},
		{"plants", `PLANT,"sown_on":"2026-02-03","origin_id":"Z9"`, "/origin_id", `is the plant "Z9", which belongs to another season; name a plant of the same one`},
		{"plants", `PLANT,"sown_on":"2026-02-03","moves":[{"place_id":"PLACE"}]`, "/moves/0/on", "is missing; give the day of the move as YYYY-MM-DD"},
		{"plants", `PLANT,"sown_on":"2026-02-03","moves":[{"on":"2026-02-04"}]`, "/moves/0/place_id", "is missing; name the place"},
		{"plants", `PLANT,"sown_on":"2026-02-03","moves":[{"place_id":"PLACE","on":"2026-02-02"}]`, "/moves/0/on", "is 2026-02-02, before the plant was sown, 2026-02-03; mend one of the two days"},
		{
			"plants", `PLANT,"sown_on":"2026-02-03","removed_on":"2026-02-05","moves":[{"place_id":"PLACE","on":"2026-02-06"}]`, "/moves/0/on",
			"is 2026-02-06, after the plant was removed, 2026-02-05; mend one of the two days",
		},
		{
			"plants", `PLANT,"sown_on":"2026-02-03","moves":[{"place_id":"PLACE","on":"2026-02-04"},{"place_id":"PLACE","on":"2026-02-04"}]`, "/moves/1/on",
			"is 2026-02-04, the day of another move; keep the one that counts",
		},
		{"counts", `"counted_at":"2026-02-03","counts":{"red":1}`, "/plant_id", "is missing; name the plant"},
		{"counts", `"plant_id":"NOBODY","counted_at":"2026-02-03","counts":{"red":1}`, "/plant_id", "is NOBODY, but there is no plant with this id; make it first, or mend the id"},
		{"counts", `"plant_id":"A1","counts":{"red":1}`, "/counted_at", "is missing; give a time as RFC 3339 with an offset, or a day as YYYY-MM-DD"},
		{"counts", `"plant_id":"A1","counted_at":"2026-01-09","counts":{"red":1}`, "/counted_at", "is 2026-01-09, before the plant was sown, 2026-01-10; mend this day, or the plant's"},
		{
			"counts", `"plant_id":"A1","counted_at":"2026-06-01T12:00:01Z","counts":{"red":1}`, "/counted_at",
			"is 2026-06-02T00:00:01+12:00, which is in the future (it is now 2026-06-02T00:00:00+12:00); mend it, or record it once it has happened",
		},
		{"counts", `"plant_id":"A1","counted_at":"2026-02-03","counts":{}`, "/counts", "names no stage; give at least one of green, breaker, turning, red, or total"},
		{"counts", `"plant_id":"A1","counted_at":"2026-02-03","counts":{"pink":1}`, "/counts/pink", `is given for "pink", which is not a stage of the plant's scale; use one of green, breaker, turning, red`},
		{"counts", `"plant_id":"A1","counted_at":"2026-02-03","counts":{"red":-1}`, "/counts/red", "is -1; it must be 0 to 100000 fruit"},
		{"counts", `"plant_id":"A1","counted_at":"2026-02-03","total":100001`, "/total", "is 100001; it must be 0 to 100000 fruit"},
		{
			"counts", `"plant_id":"A1","counted_at":"2026-02-03","counts":{"red":4},"total":3`, "/total",
			"is 3, but the stages add up to 4; mend one of them or leave total out",
		},
		{
			"counts", `"plant_id":"A1","counted_at":"2026-02-03","counts":{"red":4},"trusses_counted":3,"trusses_total":2`, "/trusses_counted",
			"is 3, more than trusses_total, 2; mend one of them",
		},
		{
			"counts", `"plant_id":"A1","counted_at":"2026-02-03","counts":{"red":4},"trusses_counted":3,"truss":2`, "/truss",
			"is 2 and trusses_counted is 3, but a row is of one truss (truss) or of several (trusses_counted); leave one of them out",
		},
		{"pickings", `"picked_at":"2026-02-03","fruits":1`, "/plant_id", "is missing; name the plant, or season_id, place_id and cultivar_id where it isn't known which one"},
		{
			"pickings", `"plant_id":"A1","season_id":"SEASON","picked_at":"2026-02-03","fruits":1`, "/plant_id",
			"is given together with season_id, place_id or cultivar_id; leave those out, or plant_id where it isn't known which plant",
		},
		{"pickings", `"plant_id":"A1","picked_at":"2026-02-03"`, "/fruits", "is missing; give the number of fruit, or mass_g where they were only weighed"},
		{"pickings", `"plant_id":"A1","picked_at":"2026-02-03","fruits":0,"mass_g":12.5`, "/mass_g", "is 12.5, but fruits is 0; mend the number, or leave fruits out where they were only weighed"},
		{"pickings", `"plant_id":"A1","picked_at":"2026-02-03","mass_g":1e7`, "/mass_g", "is 10000000; it must be 0 to 1000000 grams"},
		{"pickings", `"plant_id":"A1","picked_at":"2026-02-03","fruits":1,"grade":"B"`, "/grade", `is "B", which is not a grade; write marketable or cull`},
		{"pickings", `"plant_id":"A1","picked_at":"2026-02-03","fruits":1,"brix":40.5`, "/brix", "is 40.5; it must be 0 to 40 °Brix"},
		{"pickings", `"plant_id":"A1","picked_at":"2026-02-03","fruits":1,"taste":10`, "/taste", "is 10; it must be 1 to 9 points of the hedonic scale"},
		{"losses", `"plant_id":"A1","lost_at":"2026-02-03","cause":"split","fruits":1`, "/stage", "is missing; give the stage the fruit had reached, one of green, breaker, turning, red"},
		{"losses", `"plant_id":"A1","lost_at":"2026-02-03","cause":"split","stage":"red"`, "/fruits", "is missing; give the number of fruit"},
		{"losses", `"plant_id":"A1","lost_at":"2026-02-03","stage":"red","fruits":1`, "/cause", "is missing; write one of dropped, split, dried, rotted, pest, disease, thinned, cleared, other"},
		{
			"losses", `"plant_id":"A1","lost_at":"2026-02-03","cause":"hail","stage":"red","fruits":1`, "/cause",
			`is "hail", which is not a cause; write one of dropped, split, dried, rotted, pest, disease, thinned, cleared, other`,
		},
		{
			"diary", `"season_id":"SEASON","noted_at":"2026-02-03","kind":"sung"`, "/kind",
			`is "sung", which is not a kind of entry; write one of sown, emerged, thinned, transplanted, first bud, first flower, first fruit, pruned, ` +
				"solution changed, solution measured, cleaned, moved, treated, note",
		},
		{"diary", `"season_id":"SEASON","plant_id":"Z9","noted_at":"2026-02-03","kind":"note"`, "/plant_id", `is the plant "Z9", which belongs to another season; mend season_id or plant_id`},
		{"diary", `"season_id":"SEASON","noted_at":"2026-02-03","kind":"note","pick_not_before":"2026-02-04"`, "/pick_not_before", "is 2026-02-04, but goes with the kind treated only; leave it out, or write treated as the kind"},
		{
			"diary", `"season_id":"SEASON","noted_at":"2026-02-03T08:00:00Z","kind":"treated","pick_not_before":"2026-02-02"`, "/pick_not_before",
			"is 2026-02-02, before the day of the treatment, 2026-02-03; give the first day on which fruit may be picked again",
		},
		{"diary", `"season_id":"SEASON","noted_at":"2026-02-03"`, "/kind", "is missing; write one of sown, emerged, thinned, transplanted, first bud, first flower, first fruit, pruned, " +
			"solution changed, solution measured, cleaned, moved, treated, note"},
		{"diary", `"season_id":"SEASON","noted_at":"2026-02-03","kind":"note","ec_ds_m":-1`, "/ec_ds_m", "is -1; it must be 0 to 50 dS/m"},
		{"temperatures", `"place_id":"PLACE","air_c":20`, "/measured_at", "is missing; give the time of the reading as RFC 3339 with an offset"},
		{"temperatures", `"place_id":"PLACE","measured_at":"2026-02-03T08:00:00Z"`, "/air_c", "is missing; give the temperature in °C"},
		{"temperatures", `"place_id":"PLACE","measured_at":"1899-12-31T23:00:00-01:00","air_c":20`, "", ""},
		{"temperatures", `"place_id":"PLACE","measured_at":"1899-12-31T23:00:00Z","air_c":20`, "/measured_at", "is 1899-12-31T23:00:00Z, before 1900; mend the logger's clock"},
		{"germination", `LOT,"emerged":2,"counted_on":"2026-02-09"`, "/seeds", "is missing; give the number of seeds sown"},
		{"germination", `LOT,"seeds":0,"emerged":0,"counted_on":"2026-02-09"`, "/seeds", "is 0; it must be 1 to 100000 seeds"},
		{"germination", `LOT,"seeds":5,"counted_on":"2026-02-09"`, "/emerged", "is missing; give the number of seedlings up so far"},
		{"germination", `LOT,"seeds":5,"emerged":6,"counted_on":"2026-02-09"`, "/emerged", "is 6, more than the seeds, 5; mend one of the two numbers"},
		{"germination", `LOT,"seeds":5,"emerged":5,"counted_on":"2026-02-02"`, "/counted_on", "is 2026-02-02, before the seeds were sown, 2026-02-03; mend one of the two days"},
		{"germination", `LOT,"seeds":5,"emerged":5`, "/counted_on", "is missing; give a day as YYYY-MM-DD"},
	} {
		parts := strings.NewReplacer("PLANT", `"label":"B1","season_id":"SEASON","place_id":"PLACE","cultivar_id":"PLAIN"`,
			"LOT", `"season_id":"SEASON","cultivar_id":"PLAIN","lot":"L1","sown_on":"2026-02-03"`)
		body := ids.Replace(parts.Replace(`{"id":"ID",` + c.body + `}`))
		r := crop.New(c.kind)
		if err := json.Unmarshal([]byte(body), r); err != nil {
			t.Errorf("%s: %v", body, err)
			continue
		}
		faults := crop.Check(r, site(t), now)
		if c.pointer == "" {
			if len(faults) > 0 {
				t.Errorf("%s %s: refused: %+v", c.kind, c.body, faults)
			}
			continue
		}
		if want := strings.ReplaceAll(c.want, "NOBODY", nobody.String()); len(faults) != 1 || faults[0].Pointer != c.pointer || faults[0].Detail != want {
			t.Errorf("%s %s:\n got %+v\nwant %s %s", c.kind, c.body, faults, c.pointer, want)
		}
	}
}

// TestMovePointers: faults of moves point to them as they were sent, though the moves get sorted.
func TestMovePointers(t *testing.T) {
	r := crop.Plant{
		ID: fresh, SeasonID: season, PlaceID: lisbon, CultivarID: plain, Label: "B1", SownOn: dayp("2026-01-10"),
		Moves: []crop.Move{{PlaceID: auckland, On: *dayp("2026-03-02")}, {PlaceID: nobody, On: *dayp("2026-02-02")}, {PlaceID: lisbon, On: *dayp("2026-03-02")}},
	}
	faults := crop.Check(&r, site(t), now)
	if len(faults) != 2 || faults[0].Pointer != "/moves/1/place_id" || faults[1].Pointer != "/moves/2/on" {
		t.Errorf("got %+v, want faults at /moves/1/place_id and /moves/2/on", faults)
	}
	if r.Moves[0].PlaceID != nobody || r.Moves[1].PlaceID != auckland {
		t.Errorf("moves %v; want them in the order of their days, those of one day as they were", r.Moves)
	}
}

// TestScaleNamesTrimmed: the ripe stage loses surrounding space as the stages do, and stages without a name are not said to
// stand twice.
func TestScaleNamesTrimmed(t *testing.T) {
	r := crop.Scale{ID: fresh, Name: " two ", Stages: []crop.Stage{{Name: " green"}, {Name: "orange "}}, RipeStage: " orange"}
	if faults := crop.Check(&r, site(t), now); len(faults) > 0 || r.RipeStage != "orange" || r.Stages[0].Name != "green" || r.Name != "two" {
		t.Errorf("got %+v, %+v; want all names trimmed", faults, r)
	}
	r = crop.Scale{ID: fresh, Name: "two", Stages: []crop.Stage{{}, {}, {Name: "red"}}, RipeStage: "red"}
	faults := crop.Check(&r, site(t), now)
	if len(faults) != 2 || faults[0].Pointer != "/stages/0/name" || faults[1].Pointer != "/stages/1/name" || faults[1].Detail != "is empty; give a name" {
		t.Errorf("got %+v, want two empty names", faults)
	}
}

// TestZonesOfOneMachine: names that this machine's zone files may know but another's need not.
func TestZonesOfOneMachine(t *testing.T) {
	for name, ok := range map[string]bool{
		"Europe/Lisbon": true, "UTC": true, "Etc/GMT+3": true, "America/Argentina/Ushuaia": true,
		"Local": false, "localtime": false, "posixrules": false, "posix/Europe/Lisbon": false, "right/Europe/Lisbon": false, "../etc/localtime": false,
	} {
		r := crop.Place{ID: fresh, Name: "x", TimeZone: name}
		if faults := crop.Check(&r, site(t), now); (len(faults) == 0) != ok {
			t.Errorf("%s: got %+v, want accepted %v", name, faults, ok)
		}
	}
}

// TestSeasonsDiaryDay: a day alone that names no plant, and so no zone, is in the future only where it has begun nowhere on
// Earth; the first zone to begin a day is 14 hours before UTC (Pacific/Kiritimati).
func TestSeasonsDiaryDay(t *testing.T) {
	for _, c := range []struct {
		name, now string
		ok        bool
	}{
		{"begun in Kiritimati", "2026-06-01T10:00:00Z", true},
		{"not even there", "2026-06-01T09:59:59Z", false},
		{"begun in UTC", "2026-06-02T00:00:00Z", true},
	} {
		r := crop.DiaryEntry{ID: fresh, SeasonID: season, NotedAt: mom("2026-06-02"), Kind: "note"}
		faults := crop.Check(&r, site(t), mom(c.now).At)
		if (len(faults) == 0) != c.ok || !c.ok && faults[0] != (crop.Fault{Pointer: "/noted_at", Detail: "is 2026-06-02, which is in the future; mend it, or record it once it has happened"}) {
			t.Errorf("%s: got %+v, want accepted %v", c.name, faults, c.ok)
		}
	}
	r := crop.DiaryEntry{ID: fresh, SeasonID: season, NotedAt: mom("2026-06-02T01:00:00+13:00"), Kind: "note"}
	if faults := crop.Check(&r, site(t), now); len(faults) > 0 || r.NotedAt.String() != "2026-06-02T01:00:00+13:00" {
		t.Errorf("with a time: got %+v, %s; want it accepted as it came", faults, r.NotedAt)
	}
}

// TestScaleGone: a plant whose cultivar has lost its scale is refused, not passed over.
func TestScaleGone(t *testing.T) {
	k := site(t)
	delete(k.scales, crop.DefaultScaleID)
	visit := &crop.Visit{ID: fresh, PlantID: a1, CountedAt: mom("2026-02-03"), Counts: map[string]int{"anything": -1}}
	picking := &crop.Picking{ID: fresh, Unit: crop.Unit{SeasonID: &season, PlaceID: &lisbon, CultivarID: &plain}, PickedAt: mom("2026-02-03"), Fruits: new(1)}
	for pointer, r := range map[string]crop.Record{"/plant_id": visit, "/cultivar_id": picking} {
		if faults := crop.Check(r, k, now); len(faults) != 1 || faults[0] != (crop.Fault{Pointer: pointer, Detail: "leads to a cultivar without a ripeness scale; give the cultivar one"}) {
			t.Errorf("%s: got %+v", pointer, faults)
		}
	}
	diary := &crop.DiaryEntry{ID: fresh, SeasonID: season, PlantID: &a1, NotedAt: mom("2026-01-01"), Kind: "note"}
	if faults := crop.Check(diary, k, now); len(faults) != 1 || faults[0].Pointer != "/noted_at" {
		t.Errorf("a diary entry needs no scale: got %+v, want it refused for being before sowing alone", faults)
	}
}

// TestReadingKeptInUTC: a reading with an offset that JSON has no form for can still be written.
func TestReadingKeptInUTC(t *testing.T) {
	at := time.Date(2026, 2, 3, 8, 15, 0, 0, time.FixedZone("", 24*3600))
	r := &crop.Temperature{ID: fresh, PlaceID: lisbon, MeasuredAt: at, AirC: new(20.0)}
	faults := crop.Check(r, site(t), now)
	text, err := json.Marshal(r)
	if len(faults) > 0 || err != nil || !strings.Contains(string(text), `"measured_at":"2026-02-02T08:15:00Z"`) {
		t.Errorf("got %+v, %s, %v", faults, text, err)
	}
}
