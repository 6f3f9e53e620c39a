package api

import (
	"fmt"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestRefusalWords: what a user reads who makes the usual mistakes: the value, the rule and the next step.
func TestRefusalWords(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	gone := c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-01", "counts": {"red": 1}}`))
	c.want(204, "DELETE", "/v1/counts/"+gone, "")
	count := lab.fill(`"plant_id": "PLANT", "counted_at": "2026-02-03"`)
	page := c.want(200, "GET", "/v1/scales?limit=1", "").object(t)["next"].(string)
	for _, tc := range []struct {
		name, method, target, body string
		headers                    []string
		status                     int
		says                       []string
	}{
		{"a deleted record", "GET", "/v1/counts/" + gone, "", nil, 404, []string{"there is no count " + gone + "; it may have been deleted, or be of another kind"}},
		{"an edit of a deleted record", "PUT", "/v1/counts/" + gone, `{` + count + `, "counts": {"red": 2}}`, []string{"If-Match", `"1"`}, 412, []string{"If-Match", "read it again"}},
		{"a record of another kind", "GET", "/v1/counts/" + lab.plant, "", nil, 404, []string{"there is no count " + lab.plant + "; it may have been deleted, or be of another kind"}},
		{"ledger of a season", "GET", "/v1/plants/" + lab.season + "/ledger", "", nil, 404, []string{"there is no plant " + lab.season}},
		{"report of a plant's id", "GET", "/reports/seasons/" + lab.plant, "", nil, 404, []string{"there is no season " + lab.plant}},
		{"an id of another kind", "POST", "/v1/counts", `{"plant_id": "` + lab.season + `", "counted_at": "2026-02-03", "counts": {"red": 1}}`, nil, 422,
			[]string{"plant_id is " + lab.season + ", but there is no plant with this id; make it first, or mend the id"}},
		{"an id that is none", "GET", "/v1/counts/A1", "", nil, 400, []string{`id is \"A1\" in the address, which is not a UUID: want 32 hexadecimal digits`}},
		{"a cursor that is none", "GET", "/v1/counts?cursor=abc", "", nil, 400, []string{`cursor is \"abc\", which is no cursor of this list; start without one`}},
		{"a cursor of another list", "GET", "/v1/counts?cursor=" + page, "", nil, 400, []string{"which is no cursor of this list"}},
		{"limit", "GET", "/v1/counts?limit=1000", "", nil, 400, []string{`limit is \"1000\"; it must be a whole number from 1 to 500`}},
		{"from, day first", "GET", "/v1/counts?from=03/02/2026", "", nil, 400, []string{`from is \"03/02/2026\"; it must be a day as YYYY-MM-DD, or a time as RFC 3339 with an offset`}},
		{"as_of, a day", "GET", "/v1/plants/" + lab.plant + "/ledger?as_of=2026-02-03", "", nil, 400, []string{`as_of is \"2026-02-03\"; it must be a time as RFC 3339 with an offset`}},
		{"hold_days", "GET", "/v1/seasons/" + lab.season + "/past-ripe?hold_days=NaN", "", nil, 400, []string{`hold_days is \"NaN\"; it must be a number of days from 0.25 to 365`}},
		{"a filter in words", "GET", "/v1/counts?plant_id=A1", "", nil, 400, []string{`plant_id is \"A1\", which is not a UUID`}},
		{"an unknown parameter", "GET", "/v1/counts?plant=A1", "", nil, 400, []string{"plant is not a parameter of this address; it takes season_id,"}},
		{"If-Match without quotes", "PUT", "/v1/seasons/" + lab.season, `{"name": "x"}`, []string{"If-Match", "1"}, 412, []string{"If-Match is 1 without quotes", `such as \"1\"`}},
		{"If-Match in words", "PUT", "/v1/seasons/" + lab.season, `{"name": "x"}`, []string{"If-Match", "latest"}, 412, []string{"If-Match is latest, which is not the record's version; read it again"}},
		{"a weak ETag", "PUT", "/v1/seasons/" + lab.season, `{"name": "x"}`, []string{"If-Match", `W/"1"`}, 412, []string{`If-Match is W/\"1\", a weak ETag, which never matches; leave out W/ and send \"1\"`}},
		{"If-Match of a record that never was", "PUT", "/v1/seasons/" + madeID(77), `{"name": "x"}`, []string{"If-Match", `"1"`}, 412, []string{"If-Match is 1, but there is no season with this id; leave it out for a new one"}},
		{"base_version of a record that never was", "PUT", "/v1/seasons/" + madeID(77), `{"name": "x", "base_version": 1}`, nil, 409, []string{"base_version is 1, but there is no season with this id; leave it out for a new one"}},
		{"from after to", "GET", "/v1/counts?from=2026-02-03&to=2026-02-01", "", nil, 400, []string{"to is 2026-02-01, before from, 2026-02-03; give the earlier one as from"}},
		{"from after to, with the time", "GET", "/v1/counts?from=2026-02-03T08:00:00Z&to=2026-02-03T08:30:00%2B01:00", "", nil, 400, []string{"before from, 2026-02-03T08:00:00Z"}},
		{"If-Match of an older version", "PUT", "/v1/seasons/" + lab.season, `{"name": "x"}`, []string{"If-Match", `"7"`}, 412, []string{"If-Match is 7, but the season is at version 1 by now; read it again"}},
		{"If-None-Match of a record that is there", "PUT", "/v1/seasons/" + lab.season, `{"name": "x"}`, []string{"If-None-Match", `*`}, 412, []string{"asks for a new record, but the id is that of a season with other contents, version 1"}},
		{"no such address", "GET", "/v1/count", "", nil, 404, []string{`there is nothing at \"/v1/count\"; the addresses stand at /docs`}},
		{"wrong method", "PATCH", "/v1/counts/" + lab.plant, `{}`, nil, 405, []string{"PATCH is not answered here; the methods are GET, HEAD, PUT, DELETE"}},
		{"wrong content type", "POST", "/v1/counts", "plant=A1", []string{"Content-Type", "application/x-www-form-urlencoded"}, 415, []string{`sent as \"application/x-www-form-urlencoded\"; send it with Content-Type: application/json`}},
		{"too large", "POST", "/v1/seasons", `{"name": "` + strings.Repeat("x", 1<<20) + `"}`, nil, 413, []string{"the body may have 1048576 bytes; send less at a time"}},
		{"cut off", "POST", "/v1/counts", `{` + count + `, "counts": {"gre`, nil, 400, []string{"the body ends at byte", "send all of it"}},
		{"not UTF-8", "POST", "/v1/seasons", "{\"name\": \"Fr\xfchling\"}", nil, 400, []string{"the body isn't UTF-8 at byte 12; save or send the text as UTF-8", `"/name"`}},
		{"single quotes", "POST", "/v1/seasons", `{'name': 'x'}`, nil, 400, []string{"stops being JSON at byte 1", "names and texts stand in double quotes"}},
		{"NaN", "POST", "/v1/counts", `{` + count + `, "counts": {"red": NaN}}`, nil, 400, []string{"stops being JSON at byte", `"/counts/red"`}},
		{"1e400", "POST", "/v1/pickings", lab.fill(`{"plant_id": "PLANT", "picked_at": "2026-02-03", "fruits": 1, "mass_g": 1e400}`), nil, 422, []string{"mass_g is 1e400, which is too large to be meant; mend the number"}},
		{"1e400 fruit", "POST", "/v1/counts", `{` + count + `, "counts": {"red": 1e400}}`, nil, 422, []string{"counts/red is 1e400; it must be a whole number"}},
		{"a name twice", "POST", "/v1/counts", `{` + count + `, "counts": {"red": 1, "red": 2}}`, nil, 400, []string{`the name \"red\" stands twice in one object; keep the one that counts`, `"/counts/red"`}},
		{"too deep", "POST", "/v1/seasons", `{"name": ` + strings.Repeat("[", 20_000) + strings.Repeat("]", 20_000) + `}`, nil, 400, []string{"goes too deep"}},
		{"a list in place of a record", "POST", "/v1/counts", `[]`, nil, 422, []string{"the body is a list; send the record as a JSON object"}},
		{"a reading in place of a list", "POST", "/v1/temperatures/bulk", `{"place": "bay"}`, nil, 422, []string{`place is not a field here; send {\"items\": […]} with the records in the list`}},
		{"a stage off the scale", "POST", "/v1/counts", `{` + count + `, "counts": {"pink": 1}}`, nil, 422, []string{`counts/pink is given for \"pink\", which is not a stage of the plant's scale; use one of green, breaker, turning, red`}},
		{"before sowing", "POST", "/v1/losses", lab.fill(`{"plant_id": "PLANT", "lost_at": "2025-09-30T23:30:00+01:00", "stage": "red", "fruits": 1, "cause": "split"}`), nil, 422,
			[]string{"lost_at is 2025-09-30T23:30:00+01:00, before the plant was sown, 2025-10-01; mend this day, or the plant's"}},
		{"in the future", "POST", "/v1/pickings", lab.fill(`{"plant_id": "PLANT", "picked_at": "2026-03-02", "fruits": 1}`), nil, 422,
			[]string{"picked_at is 2026-03-02, which is in the future (it is now 2026-03-01T12:00:00Z); mend it, or record it once it has happened"}},
		{"a reading's day alone", "POST", "/v1/temperatures", lab.fill(`{"place_id": "PLACE", "measured_at": "2026-02-03", "air_c": "18,5"}`), nil, 422,
			[]string{`is \"2026-02-03\"; it must be a time as RFC 3339 with an offset, such as 2026-02-03T08:15:00+01:00`, `is \"18,5\"; it must be a number, with a decimal point and without quotes`}},
		{"a time without an offset", "POST", "/v1/counts", lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-03 08:15", "counts": {"red": 1}}`), nil, 422, []string{`counted_at is \"2026-02-03 08:15\", which is not a time: want RFC 3339 with an offset`}},
		{"an unknown field", "POST", "/v1/seasons", `{"name": "x", "start": "2026-01-01"}`, nil, 422, []string{"start is not a field of seasons; its fields are id, name, first_day, last_day"}},
		{"a name that is taken", "POST", "/v1/seasons", `{"name": "Winter 2025"}`, nil, 409, []string{`name is \"Winter 2025\", which is the name of another season (` + lab.season + `); choose another`}},
		{"a deletion of what others refer to", "DELETE", "/v1/places/" + lab.place, "", nil, 409, []string{"1 plant refers to this place; delete or change what does first"}},
		{"an origin in a circle", "PUT", "/v1/plants/" + lab.plant, lab.fill(`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "A1", "sown_on": "2025-10-01", "origin_id": "PLANT"}`), nil, 422,
			[]string{"origin_id is the plant's own id; name the plant it was separated from"}},
		{"a treatment after its waiting time", "POST", "/v1/diary", lab.fill(`{"season_id": "SEASON", "noted_at": "2026-02-03", "kind": "treated", "pick_not_before": "2026-02-02"}`), nil, 422,
			[]string{"pick_not_before is 2026-02-02, before the day of the treatment, 2026-02-03; give the first day on which fruit may be picked again"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r := (&client{t, c.handler}).want(tc.status, tc.method, tc.target, tc.body, tc.headers...)
			for _, says := range tc.says {
				if !strings.Contains(r.body, says) {
					t.Errorf("%.600s doesn't say %q", r.body, says)
				}
			}
			if len(r.body) > 2000 {
				t.Errorf("the answer has %d bytes: %.200s…", len(r.body), r.body)
			}
		})
	}
}

// TestLongNames: a name of a body is not echoed without end.
func TestLongNames(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	long := strings.Repeat("n", 100_000)
	for _, body := range []string{
		`{"` + long + `": 1}`, `{"counts": {"` + long + `": "x"}}`, `{"` + long + `": 1, "` + long + `": 2}`, `{"observer": 1, "note": "` + long + `", "plant_id": "` + long + `"}`,
		lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-03", "counts": {"` + long + `": 1}}`), lab.fill(`{"plant_id": "PLANT", "counted_at": "` + long + `"}`),
	} {
		r := c.do("POST", "/v1/counts", body)
		if r.status != 400 && r.status != 422 || len(r.body) > 4000 {
			t.Errorf("%.60s: status %d, an answer of %d bytes: %.300s", body, r.status, len(r.body), r.body)
		}
	}
}

// TestMoreThanEverStood: a picking of more fruit than the plant ever had is kept, since records are evidence, and its answer
// warns.
func TestMoreThanEverStood(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-01T08:00:00Z", "counts": {"green": 3, "breaker": 0, "turning": 0, "red": 2}}`))
	made := c.want(201, "POST", "/v1/pickings", lab.fill(`{"plant_id": "PLANT", "picked_at": "2026-02-02T08:00:00Z", "fruits": 40}`)).object(t)
	if warnings := fmt.Sprint(made["warnings"]); !strings.Contains(warnings, "40") && !strings.Contains(warnings, "more") {
		t.Errorf("warnings %s, want one of more fruit than stood", warnings)
	}
	none := c.want(201, "POST", "/v1/pickings", lab.fill(`{"plant_id": "PLANT", "picked_at": "2026-02-03T08:00:00Z", "fruits": 0}`)).object(t)
	if len(none["warnings"].([]any)) > 0 || none["fruits"] != 0.0 {
		t.Errorf("nothing to pick: %v, want it kept without a warning", none)
	}
	c.want(201, "POST", "/v1/counts", lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-04T08:00:00Z", "counts": {"green": 3, "breaker": 1, "turning": 1, "red": 2}, "total": 60, "at_least": true}`))
	c.want(422, "POST", "/v1/counts", lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-04T09:00:00Z", "counts": {"green": 3, "breaker": 1, "turning": 1, "red": 2}, "total": 60}`))
}
