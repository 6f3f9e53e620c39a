package api

import (
	"encoding/json"
	"maps"
	"net/http"
	"reflect"
	"slices"
	"testing"

	"vinetally/analytics/crop"
)

// sample is a record of each kind: a body, a changed one, and the fields the contract names for the kind.
type sample struct {
	kind           crop.Kind
	body, replaced string
	contract       []string
}

func samples() []sample {
	return []sample{
		{crop.Seasons, `{"name": "Spring 2026", "first_day": "2026-01-05"}`, `{"name": "Spring 2026", "first_day": "2026-01-05", "last_day": "2026-07-01"}`,
			[]string{"name", "first_day", "last_day"}},
		{crop.Places, `{"name": "bench", "time_zone": "Asia/Tokyo"}`, `{"name": "bench", "time_zone": null}`,
			[]string{"name", "time_zone"}},
		{crop.Scales, `{"name": "orange fruit", "stages": ["green", "orange"], "ripe_stage": "orange"}`,
			`{"name": "orange fruit", "stages": [{"name": "green", "description": "no colour"}, {"name": "orange", "description": ""}], "ripe_stage": "orange"}`,
			[]string{"name", "stages", "ripe_stage"}},
		{crop.Cultivars, `{"name": "Bobbin"}`, `{"name": "Bobbin", "hold_days": 5.5, "scale_id": "SCALE", "note": "short"}`,
			[]string{"name", "scale_id", "hold_days", "note"}},
		{crop.Plants, `{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "B2", "sown_on": "2025-11-01"}`,
			`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "B2", "sown_on": "2025-11-01", "origin_id": "PLANT", "moves": [{"place_id": "PLACE", "on": "2025-12-01"}]}`,
			[]string{"season_id", "place_id", "cultivar_id", "label", "sown_on", "transplanted_on", "removed_on", "origin_id", "moves", "note"}},
		{crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-02-03T08:15:00Z", "counts": {"green": 12, "red": 0}}`,
			`{"plant_id": "PLANT", "counted_at": "2026-02-03", "counts": {"green": 12}, "at_least": true}`,
			[]string{"plant_id", "counted_at", "counts", "trusses_counted", "trusses_total", "at_least", "observer", "note"}},
		{crop.Pickings, `{"plant_id": "PLANT", "picked_at": "2026-02-03T08:15:00Z", "fruits": 3, "mass_g": 21.5}`,
			`{"plant_id": "PLANT", "picked_at": "2026-02-03T08:15:00Z", "stage": "turning", "fruits": 0, "grade": "cull", "brix": 7, "taste": 8}`,
			[]string{"plant_id", "picked_at", "stage", "fruits", "mass_g", "weighing", "grade", "brix", "taste", "note"}},
		{crop.Losses, `{"plant_id": "PLANT", "lost_at": "2026-02-03", "stage": "red", "fruits": 1, "cause": "split"}`,
			`{"plant_id": "PLANT", "lost_at": "2026-02-04", "stage": "red", "fruits": 2, "cause": "split"}`,
			[]string{"plant_id", "lost_at", "stage", "fruits", "cause", "note"}},
		{crop.Diary, `{"season_id": "SEASON", "noted_at": "2026-02-03", "kind": "note", "note": "first warm day"}`,
			`{"season_id": "SEASON", "plant_id": "PLANT", "noted_at": "2026-02-03", "kind": "solution measured", "ec_ds_m": 1.8, "ph": 6, "solution_c": 19}`,
			[]string{"season_id", "plant_id", "noted_at", "kind", "ec_ds_m", "ph", "solution_c", "note"}},
		{crop.Temperatures, `{"place_id": "PLACE", "measured_at": "2026-02-03T08:00:00Z", "air_c": 0}`,
			`{"place_id": "PLACE", "measured_at": "2026-02-03T08:00:00Z", "air_c": -1.25}`,
			[]string{"place_id", "measured_at", "air_c"}},
		{crop.Germinations, `{"season_id": "SEASON", "cultivar_id": "CULTIVAR", "lot": "a", "sown_on": "2025-10-01", "seeds": 20, "counted_on": "2025-10-09", "emerged": 0}`,
			`{"season_id": "SEASON", "cultivar_id": "CULTIVAR", "lot": "a", "sown_on": "2025-10-01", "seeds": 20, "counted_on": "2025-10-09", "emerged": 17}`,
			[]string{"season_id", "cultivar_id", "lot", "sown_on", "seeds", "counted_on", "emerged"}},
	}
}

func TestEveryKindLives(t *testing.T) {
	if len(samples()) != len(crop.Kinds()) {
		t.Fatalf("%d samples for %d kinds", len(samples()), len(crop.Kinds()))
	}
	for _, s := range samples() {
		t.Run(string(s.kind), func(t *testing.T) {
			c := testClient(t)
			lab := newTrial(c)
			body, replaced := lab.fill(s.body), lab.fill(s.replaced)
			path := "/v1/" + string(s.kind)
			before := len(c.want(200, "GET", path, "").items(t))

			made := c.want(201, "POST", path, body)
			id := made.object(t)["id"].(string)
			address := path + "/" + id
			if got := made.header.Get("Location"); got != address {
				t.Errorf("Location: got %q, want %q", got, address)
			}
			if got := made.object(t)["warnings"]; !reflect.DeepEqual(got, []any{}) {
				t.Errorf("warnings of a write: got %v, want an empty list", got)
			}
			if got, err := crop.ParseID(id); err != nil || got[6]>>4 != 7 {
				t.Errorf("id %s: got version %d, want 7 (RFC 9562 section 5.7)", id, got[6]>>4)
			}
			read := c.want(200, "GET", address, "")
			for _, field := range append(s.contract, "id", "version", "recorded_at") {
				if _, ok := read.object(t)[field]; !ok {
					t.Errorf("answer %s lacks %s", read.body, field)
				}
			}
			if got := read.header.Get("ETag"); got != `"1"` {
				t.Errorf("ETag: got %s, want \"1\"", got)
			}

			again := c.want(200, "PUT", address, read.body) // GET, edit nothing, PUT
			if again.object(t)["version"] != 1.0 {
				t.Errorf("an answer sent back unchanged made version %v, want 1", again.object(t)["version"])
			}
			changed := c.want(200, "PUT", address, replaced, "If-Match", read.header.Get("ETag"))
			if changed.object(t)["version"] != 2.0 || changed.header.Get("ETag") != `"2"` {
				t.Errorf("replaced: got version %v, ETag %s, want 2", changed.object(t)["version"], changed.header.Get("ETag"))
			}
			current := c.want(200, "GET", address, "")
			wantSameRecord(t, current.object(t), changed.object(t))
			c.want(200, "PUT", address, current.body)
			if got := len(c.want(200, "GET", path, "").items(t)); got != before+1 {
				t.Errorf("list holds %d, want %d", got, before+1)
			}

			c.want(204, "DELETE", address, "")
			c.want(404, "GET", address, "")
			c.want(404, "DELETE", address, "")
			var deleted []any
			for _, v := range c.want(200, "GET", address+"/history", "").items(t) {
				deleted = append(deleted, v.(map[string]any)["deleted"])
			}
			slices.SortFunc(deleted, func(a, b any) int { return map[bool]int{true: 1}[a.(bool)] - map[bool]int{true: 1}[b.(bool)] })
			if !reflect.DeepEqual(deleted, []any{false, false, true}) {
				t.Errorf("history: got deleted = %v, want two versions and a deletion", deleted)
			}
		})
	}
}

// wantSameRecord compares answers apart from the warnings that only writes have.
func wantSameRecord(t *testing.T, got, want map[string]any) {
	t.Helper()
	got, want = maps.Clone(got), maps.Clone(want)
	delete(got, "warnings")
	delete(want, "warnings")
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestClientMadeID(t *testing.T) {
	c := testClient(t)
	const id = "0198b2c4-0000-7000-8000-00000000000a"
	body := `{"id": "` + id + `", "name": "Spring"}`
	c.want(201, "POST", "/v1/seasons", body)
	if got := c.want(200, "POST", "/v1/seasons", body).object(t); got["version"] != 1.0 {
		t.Errorf("sent again: got version %v, want 1", got["version"])
	}
	c.want(409, "POST", "/v1/seasons", `{"id": "`+id+`", "name": "Summer"}`)
	const other = "0198B2C4-0000-7000-8000-00000000000B"
	made := c.want(201, "PUT", "/v1/places/"+other, `{"name": "bay"}`)
	if got := made.object(t)["id"]; got != "0198b2c4-0000-7000-8000-00000000000b" {
		t.Errorf("id: got %v, want it in lower case", got)
	}
}

func TestOldBodiesChangeNothing(t *testing.T) {
	c := testClient(t)
	first := `{"id": "0198b2c4-0000-7000-8000-00000000000a", "name": "one"}`
	c.want(201, "POST", "/v1/seasons", first)
	at := "/v1/seasons/0198b2c4-0000-7000-8000-00000000000a"
	warnings := func(r reply) int { return len(r.object(t)["warnings"].([]any)) }
	c.want(200, "PUT", at, `{"name": "two", "base_version": 1}`)
	again := c.want(200, "PUT", at, `{"name": "two", "base_version": 1}`)
	if again.object(t)["version"] != 2.0 || warnings(again) != 0 {
		t.Errorf("the last edit sent again: got %s, want version 2 and no warning", again.body)
	}
	old := c.want(200, "POST", "/v1/seasons", first)
	if got := old.object(t); got["name"] != "two" || got["version"] != 2.0 || warnings(old) != 1 {
		t.Errorf("an old body: got %s, want the current record and a warning", old.body)
	}
	c.want(204, "DELETE", at, "")
	gone := c.want(200, "POST", "/v1/seasons", first)
	if warnings(gone) != 1 {
		t.Errorf("an old body of a deleted record: got %s, want a warning", gone.body)
	}
	c.want(404, "GET", at, "")
	c.want(201, "PUT", at, `{"name": "one", "base_version": 3}`)
	c.want(200, "GET", at, "")
}

func TestMoments(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	for _, tc := range []struct{ name, sent, at, known string }{
		{"instant in another offset", `"counted_at": "2026-02-03T17:15:00+09:00"`, "2026-02-03T08:15:00Z", "true"},
		{"summer time of the place", `"counted_at": "2025-10-25T08:15:00Z"`, "2025-10-25T09:15:00+01:00", "true"},
		{"day alone is noon at the place", `"counted_at": "2025-10-25"`, "2025-10-25T12:00:00+01:00", "false"},
		{"instant whose time isn't known", `"counted_at": "2025-10-25T23:30:00-05:00", "time_known": false`, "2025-10-25T12:00:00+01:00", "false"},
		{"time_known null says nothing", `"counted_at": "2025-10-25T08:15:00Z", "time_known": null`, "2025-10-25T09:15:00+01:00", "true"},
		{"milliseconds stay", `"counted_at": "2026-02-03T08:15:00.125Z"`, "2026-02-03T08:15:00.125Z", "true"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			id := c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counts": {"green": 1}, `+tc.sent+`}`))
			read := c.want(200, "GET", "/v1/counts/"+id, "")
			got := read.object(t)
			known, _ := json.Marshal(got["time_known"])
			if got["counted_at"] != tc.at || string(known) != tc.known {
				t.Errorf("got %v, time_known %s, want %s, %s", got["counted_at"], known, tc.at, tc.known)
			}
			if again := c.want(200, "PUT", "/v1/counts/"+id, read.body).object(t); again["version"] != 1.0 {
				t.Errorf("sent back: got version %v, want 1", again["version"])
			}
		})
	}
	r := c.want(422, "POST", "/v1/counts", lab.fill(`{"plant_id": "PLANT", "counts": {"green": 1}, "counted_at": "2026-02-03", "time_known": true}`))
	if got := r.pointers(t); !reflect.DeepEqual(got, []string{"/time_known"}) {
		t.Errorf("a day with time_known true: got pointers %v", got)
	}
}

func TestCountsKeepWhatWasNotCounted(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	id := c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-03", "counts": {"green": 4, "breaker": null, "red": 0}}`))
	got := c.want(200, "GET", "/v1/counts/"+id, "").object(t)["counts"]
	if want := map[string]any{"green": 4.0, "red": 0.0}; !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v: a null is no count, a zero is one", got, want)
	}
}

func TestPreconditions(t *testing.T) {
	c := testClient(t)
	id := c.add(crop.Seasons, `{"name": "one"}`)
	at := "/v1/seasons/" + id
	c.want(200, "PUT", at, `{"name": "two"}`)
	fresh := "/v1/seasons/0198b2c4-0000-7000-8000-0000000000ff"
	for _, tc := range []struct {
		name, method, target, body string
		header, value              string
		want                       int
	}{
		{"old tag", "PUT", at, `{"name": "x"}`, "If-Match", `"1"`, 412},
		{"tag that is none of ours", "PUT", at, `{"name": "x"}`, "If-Match", `"abc"`, 412},
		{"weak tag never matches", "PUT", at, `{"name": "x"}`, "If-Match", `W/"2"`, 412},
		{"any version of a missing record", "PUT", fresh, `{"name": "x"}`, "If-Match", "*", 412},
		{"old base_version", "PUT", at, `{"name": "x", "base_version": 1}`, "", "", 409},
		{"base_version 0 of an existing record", "PUT", at, `{"name": "x", "base_version": 0}`, "", "", 409},
		{"a new record that exists", "PUT", at, `{"name": "x"}`, "If-None-Match", "*", 412},
		{"header and body disagree", "PUT", at, `{"name": "x", "base_version": 1}`, "If-Match", `"2"`, 422},
		{"base_version on POST", "POST", "/v1/seasons", `{"name": "x", "base_version": 3}`, "", "", 422},
		{"delete of an old version", "DELETE", at, "", "If-Match", `"1"`, 412},
		{"nothing new to read", "GET", at, "", "If-None-Match", `"2"`, 304},
		{"nothing new to read, compressed", "GET", at, "", "If-None-Match", `W/"2-gzip"`, 304},
		{"something new to read", "GET", at, "", "If-None-Match", `"1"`, 200},
		{"one of several tags", "PUT", at, `{"name": "three"}`, "If-Match", `"1", "2"`, 200},
		{"tag of a compressed answer", "PUT", at, `{"name": "four"}`, "If-Match", `"3-gzip"`, 200},
		{"any version", "PUT", at, `{"name": "five"}`, "If-Match", "*", 200},
		{"base_version", "PUT", at, `{"name": "six", "base_version": 5}`, "", "", 200},
		{"a new record", "PUT", fresh, `{"name": "x", "base_version": 0}`, "If-None-Match", "*", 201},
		{"delete of the current version", "DELETE", at, "", "If-Match", `"6"`, 204},
	} {
		t.Run(tc.name, func(t *testing.T) {
			(&client{t, c.handler}).want(tc.want, tc.method, tc.target, tc.body, tc.header, tc.value)
		})
	}
}

func TestListPages(t *testing.T) {
	c := testClient(t)
	for _, name := range []string{"a", "b", "c", "d", "e"} {
		c.add(crop.Seasons, `{"name": "`+name+`"}`)
	}
	var names []string
	target, pages := "/v1/seasons?limit=2", 0
	for target != "" {
		r := c.want(200, "GET", target, "")
		for _, item := range r.items(t) {
			names = append(names, item.(map[string]any)["name"].(string))
		}
		target, pages = "", pages+1
		if next, ok := r.object(t)["next"].(string); ok {
			target = "/v1/seasons?limit=2&cursor=" + next
		} else if next, has := r.object(t)["next"]; !has || next != nil {
			t.Errorf("last page: next is %v, want null", next)
		}
	}
	slices.Sort(names)
	if !slices.Equal(names, []string{"a", "b", "c", "d", "e"}) || pages != 3 {
		t.Errorf("got %v on %d pages, want five seasons on 3", names, pages)
	}
}

func TestHeadAnswersLikeGet(t *testing.T) {
	c := testClient(t)
	id := c.add(crop.Seasons, `{"name": "one"}`)
	if r := c.want(http.StatusOK, "HEAD", "/v1/seasons/"+id, ""); r.header.Get("ETag") != `"1"` {
		t.Errorf("HEAD: ETag %q, want \"1\"", r.header.Get("ETag"))
	}
}
