package api

import (
	"slices"
	"strings"
	"testing"
)

// Malformed JSON by RFC 8259, duplicate names as RFC 7493 section 2.3 refuses them, statuses by RFC 9110 section 15.5.
func TestBodyRefusals(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	const when = `"plant_id": "PLANT", "counted_at": "2026-02-03"`
	for _, tc := range []struct {
		name, kind, body string
		status           int
		pointers         []string
		says             string
	}{
		{"empty body", "counts", " \n", 400, nil, "empty"},
		{"cut short", "counts", `{"plant_id": "PLANT"`, 400, nil, ""},
		{"not JSON", "counts", `plant=A1`, 400, []string{""}, ""},
		{"trailing comma", "counts", `{` + when + `, "counts": {"green": 1},}`, 400, []string{""}, ""},
		{"comment", "counts", `{/* */}`, 400, []string{""}, ""},
		{"NaN", "temperatures", `{"place_id": "PLACE", "measured_at": "2026-02-03T08:00:00Z", "air_c": NaN}`, 400, []string{"/air_c"}, ""},
		{"leading zero", "counts", `{` + when + `, "counts": {"green": 012}}`, 400, []string{"/counts"}, ""},
		{"trailing data", "counts", `{` + when + `, "counts": {"green": 1}} {}`, 400, []string{""}, "follows"},
		{"field twice", "counts", `{` + when + `, "counts": {"green": 1}, "counts": {"green": 2}}`, 400, []string{"/counts"}, "twice"},
		{"stage twice", "counts", `{` + when + `, "counts": {"green": 1, "green": 2}}`, 400, []string{"/counts/green"}, "twice"},
		{"ignored field twice", "counts", `{` + when + `, "version": {"a": 1, "a": 2}}`, 400, []string{"/version/a"}, "twice"},
		{"invalid UTF-8", "seasons", "{\"name\": \"a\xffb\"}", 400, []string{"/name"}, "UTF-8"},
		{"lone surrogate", "seasons", `{"name": "\ud800"}`, 400, []string{"/name"}, ""},
		{"deep nesting", "counts", `{"counts": ` + strings.Repeat("[", 200_000) + strings.Repeat("]", 200_000) + `}`, 400, nil, ""},
		{"deep nesting in an ignored field", "counts", `{"version": ` + strings.Repeat(`{"a":`, 50_000) + `1` + strings.Repeat("}", 50_000) + `}`, 400, nil, ""},
		{"list in place of a record", "counts", `[]`, 422, []string{""}, "a list"},
		{"null in place of a record", "counts", `null`, 422, []string{""}, "null"},
		{"unknown field", "counts", `{` + when + `, "counts": {"green": 1}, "colour": "red"}`, 422, []string{"/colour"}, "counted_at"},
		{"field in another case", "seasons", `{"Name": "x"}`, 422, []string{"/Name", "/name"}, "its fields are id, name"},
		{"unknown nested field", "plants", `{"moves": [{"place_id": "PLACE", "on": "2026-02-03", "why": "sun"}]}`, 422, []string{"/moves/0/why", "/label", "/season_id", "/place_id", "/cultivar_id", "/sown_on"}, ""},
		{"field of another kind", "seasons", `{"name": "x", "time_known": true}`, 422, []string{"/time_known"}, ""},
		{"pointer is escaped", "seasons", `{"name": "x", "a/b~c": 1}`, 422, []string{"/a~1b~0c"}, ""},
		{"number as text", "counts", `{` + when + `, "counts": {"green": "12"}}`, 422, []string{"/counts/green"}, "whole number"},
		{"text as number", "seasons", `{"name": 5}`, 422, []string{"/name"}, "text"},
		{"half a fruit", "counts", `{` + when + `, "counts": {"green": 1.5}}`, 422, []string{"/counts/green"}, "1.5"},
		{"exponent in a count", "counts", `{` + when + `, "counts": {"green": 1e2}}`, 422, []string{"/counts/green"}, "whole number"},
		{"more than an integer holds", "counts", `{` + when + `, "counts": {"green": 99999999999999999999}}`, 422, []string{"/counts/green"}, "99999999999999999999, which is too large"},
		{"more than a float holds", "temperatures", `{"place_id": "PLACE", "measured_at": "2026-02-03T08:00:00Z", "air_c": 1e999}`, 422, []string{"/air_c"}, "1e999, which is too large"},
		{"more fruit than a plant bears", "counts", `{` + when + `, "counts": {"green": 100001}}`, 422, []string{"/counts/green"}, "100001"},
		{"negative", "counts", `{` + when + `, "counts": {"green": -1}}`, 422, []string{"/counts/green"}, "-1"},
		{"two counts too large to add", "counts", `{` + when + `, "total": 1, "counts": {"green": 9223372036854775807, "red": 9223372036854775807}}`, 422, nil, ""},
		{"counts as a list", "counts", `{` + when + `, "counts": [1]}`, 422, []string{"/counts"}, "object"},
		{"true as text", "counts", `{` + when + `, "counts": {"green": 1}, "at_least": "true"}`, 422, []string{"/at_least"}, "true or false"},
		{"stage that is not on the scale", "counts", `{` + when + `, "counts": {"purple": 1}}`, 422, []string{"/counts/purple"}, "scale"},
		{"no stage", "counts", `{` + when + `, "counts": {}}`, 422, []string{"/counts"}, "no stage"},
		{"only nulls", "counts", `{` + when + `, "counts": {"green": null}}`, 422, []string{"/counts"}, "no stage"},
		{"NUL in a name", "seasons", `{"name": "a\u0000b"}`, 422, []string{"/name"}, "control"},
		{"NUL in a stage", "counts", `{` + when + `, "counts": {"gr\u0000een": 1}}`, 422, []string{"/counts/gr\u0000een"}, "scale"},
		{"name too long", "seasons", `{"name": "` + strings.Repeat("é", 201) + `"}`, 422, []string{"/name"}, "201"},
		{"missing fields", "counts", `{}`, 422, []string{"/plant_id", "/counted_at", "/counts"}, "missing"},
		{"missing time and stages", "counts", `{"plant_id": "PLANT"}`, 422, []string{"/counted_at", "/counts"}, "missing"},
		{"every fault of the form at once", "plants", `{"season_id": 1, "sown_on": "yesterday", "lable": "A1"}`, 422, []string{"/season_id", "/sown_on", "/lable", "/label", "/place_id", "/cultivar_id"}, ""},
		{"not a date", "plants", `{"label": "B1", "season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "sown_on": "2026-02-30"}`, 422, []string{"/sown_on"}, "YYYY-MM-DD"},
		{"time without an offset", "counts", `{"plant_id": "PLANT", "counts": {"green": 1}, "counted_at": "2026-02-03T08:00:00"}`, 422, []string{"/counted_at"}, "offset"},
		{"in the future", "counts", `{"plant_id": "PLANT", "counts": {"green": 1}, "counted_at": "2026-03-02"}`, 422, []string{"/counted_at"}, "future"},
		{"before sowing", "counts", `{"plant_id": "PLANT", "counts": {"green": 1}, "counted_at": "2025-09-30"}`, 422, []string{"/counted_at"}, "before"},
		{"not an id", "counts", `{"plant_id": "A1"}`, 422, []string{"/plant_id"}, "UUID"},
		{"no such plant", "counts", `{"plant_id": "0198b2c4-0000-7000-8000-000000000001", "counted_at": "2026-02-03", "counts": {"green": 1}}`, 422, []string{"/plant_id"}, "no plant"},
		{"base_version in quotes", "seasons", `{"name": "x", "base_version": "1"}`, 422, []string{"/base_version"}, "whole number"},
		{"base_version negative", "seasons", `{"name": "x", "base_version": -1}`, 422, []string{"/base_version"}, "negative"},
		{"time_known as text", "counts", `{` + when + `, "counts": {"green": 1}, "time_known": "no"}`, 422, []string{"/time_known"}, "true or false"},
		{"too large", "seasons", `{"name": "` + strings.Repeat("x", 1<<20) + `"}`, 413, nil, "1048576"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := &client{t, c.handler}
			for _, send := range [][2]string{{"POST", "/v1/" + tc.kind}, {"PUT", "/v1/" + tc.kind + "/0198b2c4-0000-7000-8000-0000000000aa"}} {
				if tc.name == "base_version in quotes" && send[0] == "PUT" {
					continue
				}
				r := c.want(tc.status, send[0], send[1], lab.fill(tc.body))
				if tc.pointers != nil && !slices.Equal(r.pointers(t), tc.pointers) {
					t.Errorf("%s: pointers %q, want %q: %s", send[0], r.pointers(t), tc.pointers, r.body)
				}
				if !strings.Contains(r.body, tc.says) {
					t.Errorf("%s: %s doesn't say %q", send[0], r.body, tc.says)
				}
				for _, inside := range []string{"crop.", "json:", "jsontext", "Go ", "strconv"} {
					if strings.Contains(r.body, inside) {
						t.Errorf("%s: %s shows the inside of the program: %q", send[0], r.body, inside)
					}
				}
			}
		})
	}
}

func TestContentTypes(t *testing.T) {
	c := testClient(t)
	for _, tc := range []struct {
		name, media, coding string
		status              int
	}{
		{"none", "", "", 415},
		{"form", "application/x-www-form-urlencoded", "", 415},
		{"plain text", "text/plain", "", 415},
		{"malformed", ";;", "", 415},
		{"another charset", "application/json; charset=iso-8859-1", "", 415},
		{"compressed", "application/json", "gzip", 415},
		{"JSON", "application/json", "", 201},
		{"JSON with its charset", "Application/JSON; charset=UTF-8", "identity", 201},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r := (&client{t, c.handler}).want(tc.status, "POST", "/v1/seasons", `{"name": "`+tc.name+`"}`,
				"Content-Type", tc.media, "Content-Encoding", tc.coding)
			accept, coding := "application/json", "" // RFC 9110, sections 12.5.1 and 12.5.3
			if tc.coding == "gzip" {
				accept, coding = "", "identity"
			}
			if tc.status == 415 && (r.header.Get("Accept") != accept || r.header.Get("Accept-Encoding") != coding) {
				t.Errorf("got Accept %q and Accept-Encoding %q, want %q and %q", r.header.Get("Accept"), r.header.Get("Accept-Encoding"), accept, coding)
			}
		})
	}
}

func TestAddresses(t *testing.T) {
	c := testClient(t)
	const id = "0198b2c4-0000-7000-8000-000000000001"
	for _, tc := range []struct {
		name, method, target string
		status               int
		says                 string
	}{
		{"nothing there", "GET", "/v1/fruit", 404, "no-such-address"},
		{"slash too many", "GET", "/v1/seasons/", 404, "no-such-address"},
		{"method not answered", "PATCH", "/v1/seasons", 405, "GET"},
		{"delete of a list", "DELETE", "/v1/seasons", 405, "POST"},
		{"no such record", "GET", "/v1/seasons/" + id, 404, "no-such-record"},
		{"history of nothing", "GET", "/v1/seasons/" + id + "/history", 404, "no-such-record"},
		{"delete of nothing", "DELETE", "/v1/seasons/" + id, 404, "no-such-record"},
		{"not an id", "GET", "/v1/seasons/A1", 400, "UUID"},
		{"zero id", "GET", "/v1/seasons/00000000-0000-0000-0000-000000000000", 400, "zero"},
		{"unknown parameter", "GET", "/v1/seasons?page=2", 400, "it takes cursor, limit"},
		{"filter the kind hasn't", "GET", "/v1/seasons?plant_id=" + id, 400, "it takes cursor, limit"},
		{"filters it has", "GET", "/v1/counts?who=me", 400, "it takes season_id, place_id, cultivar_id, plant_id, from, to, cursor, limit"},
		{"parameter on one record", "GET", "/v1/seasons/" + id + "?limit=1", 400, "it takes none"},
		{"parameter on a write", "POST", "/v1/seasons?dry=1", 400, "it takes none"},
		{"parameter twice", "GET", "/v1/seasons?limit=1&limit=2", 400, "is given 2 times; give it once"},
		{"limit 0", "GET", "/v1/seasons?limit=0", 400, "from 1 to 500"},
		{"limit 501", "GET", "/v1/seasons?limit=501", 400, "from 1 to 500"},
		{"limit in words", "GET", "/v1/seasons?limit=all", 400, "from 1 to 500"},
		{"filter that isn't an id", "GET", "/v1/counts?plant_id=A1", 400, "UUID"},
		{"from without an offset", "GET", "/v1/counts?from=2026-02-03T08:00:00", 400, "offset"},
		{"escape cut short", "GET", "/v1/counts?from=%zz", 400, "escape"},
		{"from and to", "GET", "/v1/counts?from=2026-02-03&to=2026-02-03T08:15:00%2B01:00", 200, ""},
		{"plus sign not escaped", "GET", "/v1/counts?to=2026-02-03T08:15:00+01:00", 200, ""},
		{"largest limit", "GET", "/v1/counts?limit=500", 200, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r := (&client{t, c.handler}).want(tc.status, tc.method, tc.target, "")
			if !strings.Contains(r.body, tc.says) {
				t.Errorf("%s doesn't say %q", r.body, tc.says)
			}
			if tc.status == 405 && !strings.Contains(r.header.Get("Allow"), "GET") {
				t.Errorf("Allow: got %q, want the methods (RFC 9110 section 15.5.6)", r.header.Get("Allow"))
			}
		})
	}
}

func TestPutNamesAnotherRecord(t *testing.T) {
	c := testClient(t)
	r := c.want(422, "PUT", "/v1/seasons/0198b2c4-0000-7000-8000-000000000001", `{"id": "0198b2c4-0000-7000-8000-000000000002", "name": "x"}`)
	if got := r.pointers(t); !slices.Equal(got, []string{"/id"}) {
		t.Errorf("pointers %q, want /id", got)
	}
}

func TestProblemKindsAreDistinct(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range problemKinds() {
		if seen[k.path] || seen[k.title] || k.status < 400 || k.title == "" {
			t.Errorf("%+v: path and title must be its own, the status one of failure", k)
		}
		seen[k.path], seen[k.title] = true, true
	}
}
