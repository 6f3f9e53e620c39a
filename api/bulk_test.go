package api

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

func (c *client) bulk(status int, media, query, body string) reply {
	c.Helper()
	return c.want(status, "POST", "/v1/temperatures/bulk"+query, body, "Content-Type", media)
}

func wantBulk(t *testing.T, what string, r reply, readings, created, replaced, unchanged int) {
	t.Helper()
	want := fmt.Sprintf(`{"readings":%d,"created":%d,"replaced":%d,"unchanged":%d}`, readings, created, replaced, unchanged)
	if r.body != want {
		t.Errorf("%s: got %s, want %s", what, r.body, want)
	}
}

func TestBulkTemperatures(t *testing.T) {
	c := testClient(t)
	place := c.add(crop.Places, `{"name": "bay, north", "time_zone": "Europe/Lisbon"}`)
	list := `[{"place_id": "` + place + `", "measured_at": "2026-02-03T08:00:00Z", "air_c": 18.5},
		{"place": "bay, north", "measured_at": "2026-02-03T08:10:00Z", "air_c": -0}]`
	wantBulk(t, "a list", c.bulk(200, "application/json", "", list), 2, 2, 0, 0)
	wantBulk(t, "the same as items", c.bulk(200, "application/json", "", `{"items": `+list+`}`), 2, 0, 0, 2)
	// As a spreadsheet writes it: byte-order mark, CRLF, capitals, a quoted comma, spaces; another offset is the same instant.
	file := "\ufeffMeasured_at, Air_C ,PLACE\r\n2026-02-03T09:00:00+01:00, 18.5 ,\"bay, north\"\r\n\r\n2026-02-03T08:20:00Z,19,\"bay, north\"\r\n"
	wantBulk(t, "a file", c.bulk(200, "text/csv; charset=utf-8", "", file), 2, 1, 0, 1)
	wantBulk(t, "the file again", c.bulk(200, "text/csv", "", file), 2, 0, 0, 2)

	// What an import reads is read here too: semicolons, a name guarded against running as a formula, both ways to name a place.
	c.add(crop.Places, `{"name": "=shelf"}`)
	wantBulk(t, "semicolons", c.bulk(200, "text/csv", "", "Place;place_id;measured_at;AIR_C\r\n'=shelf;;2026-02-03 08:20Z;1.85e1\r\n;"+place+";2026-02-03T08:20Z;19\r\n"), 2, 1, 0, 1)

	changed := "place_id,measured_at,air_c\n" + place + ",2026-02-03T08:00:00Z,21\n" + place + ",2026-02-03T08:30:00Z,22\n"
	r := c.bulk(409, "text/csv", "", changed)
	if !strings.Contains(r.body, `"line":2,"column":"air_c"`) || !strings.Contains(r.body, "18.5") || !strings.Contains(r.body, "replace=true") {
		t.Errorf("another value: %s, want the line, the stored value and what to do", r.body)
	}
	if n := len(c.want(200, "GET", "/v1/temperatures", "").items(t)); n != 4 {
		t.Errorf("%d readings are stored, want 4: all or nothing", n)
	}
	wantBulk(t, "replaced", c.bulk(200, "text/csv", "?replace=true", changed), 2, 1, 1, 0)
	wantBulk(t, "put back", c.bulk(200, "application/json", "?replace=true", list), 2, 0, 1, 1)
	first := c.want(200, "GET", "/v1/temperatures?to=2026-02-03T08:00:00Z", "").items(t)[0].(map[string]any)
	if first["air_c"] != 18.5 || first["version"] != 3.0 || first["measured_at"] != "2026-02-03T08:00:00Z" {
		t.Errorf("the first reading is %v, want 18.5 °C as version 3", first)
	}
	twice := `[{"place_id": "` + place + `", "measured_at": "2026-02-04T08:00:00Z", "air_c": 1}, {"place_id": "` + place + `", "measured_at": "2026-02-04T08:00:00Z", "air_c": 1}]`
	wantBulk(t, "twice in one request", c.bulk(200, "application/json", "", twice), 2, 1, 0, 1)
	wantBulk(t, "none", c.bulk(200, "application/json", "", `{"items": []}`), 0, 0, 0, 0)
	wantBulk(t, "a header alone", c.bulk(200, "text/csv", "", "place,measured_at,air_c\n"), 0, 0, 0, 0)
}

// Without an offset a time is by the clock of the place. One that a clock change doubles is its first, still summer time, and one
// that it skips is refused (Europe/Lisbon went forward at 01:00 on 30 March 2025 and back at 02:00 on 26 October 2025, IANA time
// zone database, rule EU). Names are the same in another Unicode form and with spaces around them.
func TestBulkLocalTimes(t *testing.T) {
	c := testClient(t)
	c.add(crop.Places, `{"name": "b\u00e1y", "time_zone": "Europe/Lisbon"}`)
	c.add(crop.Places, `{"name": "shelf"}`)
	file := "measured_at,place,air_c\n2025-07-01 08:20,\u00a0ba\u0301y\u200b,19\n2025-10-26T01:30,b\u00e1y,7\n2025-10-26T01:30:00+00:00,b\u00e1y,6\n2025-07-01 08:20,shelf,20\n"
	wantBulk(t, "local times", c.bulk(200, "text/csv", "", file), 4, 4, 0, 0)
	wantBulk(t, "with offsets", c.bulk(200, "text/csv", "", "place,measured_at,air_c\nb\u00e1y,2025-07-01T08:20+01:00,19\nb\u00e1y,2025-10-26T01:30+01:00,7\nshelf,2025-07-01T08:20Z,20\n"), 3, 0, 0, 3)
	r := c.bulk(422, "text/csv", "", "place,measured_at,air_c\nb\u00e1y,2025-03-30T01:30,1\n")
	if !strings.Contains(r.body, `"line":2,"column":"measured_at"`) || !strings.Contains(r.body, "2025-03-30 01:30 was skipped by a clock change in Europe/Lisbon") {
		t.Errorf("got %s, want the skipped time refused", r.body)
	}
}

func TestBulkRefusals(t *testing.T) {
	c := testClient(t)
	place := c.add(crop.Places, `{"name": "bay"}`)
	const at = `"measured_at": "2026-02-03T08:00:00Z"`
	ok := `{"place": "bay", ` + at + `, "air_c": 20}`
	for _, tc := range []struct {
		name, media, query, body string
		status                   int
		says                     []string
	}{
		{"no value", "application/json", "", `[` + ok + `, {"place": "bay", ` + at + `}]`, 422, []string{`"/1/air_c"`, "missing"}},
		{"no value under items", "application/json", "", `{"items": [` + ok + `, {"place": "bay", ` + at + `}]}`, 422, []string{`"/items/1/air_c"`, "missing"}},
		{"no place", "application/json", "", `[{` + at + `, "air_c": 1}]`, 422, []string{`"/0/place_id"`, "missing"}},
		{"unknown place", "application/json", "", `[{"place": "bog", ` + at + `, "air_c": 1}]`, 422, []string{`"/0/place"`, "bog"}},
		{"unknown place id", "application/json", "", `[{"place_id": "` + madeID(1) + `", ` + at + `, "air_c": 1}]`, 422, []string{`"/0/place_id"`, "no place"}},
		{"place twice", "application/json", "", `[{"place": "bay", "place_id": "` + place + `", ` + at + `, "air_c": 1}]`, 422, []string{`"/0/place"`, "once"}},
		{"a number in quotes", "application/json", "", `[{"place": "bay", ` + at + `, "air_c": "1"}]`, 422, []string{`"/0/air_c"`, "without quotes"}},
		{"colder than anything", "application/json", "", `[{"place": "bay", ` + at + `, "air_c": -300}]`, 422, []string{`"/0/air_c"`, "-273.15"}},
		{"in the future", "application/json", "", `[{"place": "bay", "measured_at": "2027-02-03T08:00:00Z", "air_c": 1}]`, 422, []string{`"/0/measured_at"`, "future"}},
		{"unknown field", "application/json", "", `[{"place": "bay", "rh": 1}]`, 422, []string{`"/0/rh"`}},
		{"not an object", "application/json", "", `[3]`, 422, []string{`"/0"`, "object"}},
		{"cut short", "application/json", "", `[` + ok, 400, []string{"malformed-json"}},
		{"two values", "application/json", "", `[` + ok + `, {"place": "bay", ` + at + `, "air_c": 21}]`, 409, []string{`"/1/air_c"`, "keep the one"}},
		{"form", "application/x-www-form-urlencoded", "", "a=b", 415, []string{"application/json or text/csv"}},
		{"parameter", "text/csv", "?replace=yes", "x", 400, []string{"true or false"}},
		{"unknown parameter", "text/csv", "?mode=x", "x", 400, []string{"it takes replace"}},
		{"empty file", "text/csv", "", "\n", 400, []string{"malformed-csv", "first line"}},
		{"unknown column", "text/csv", "", "place,measured_at,air_f\n", 400, []string{"malformed-csv", "air_f"}},
		{"an id", "text/csv", "", "id,place,measured_at,air_c\n,bay,2026-02-03T08:00:00Z,1\n", 400, []string{"malformed-csv", `"column":"id"`, "is not a column"}},
		{"place and id", "text/csv", "", "place,place_id,measured_at,air_c\nbay," + place + ",2026-02-03T08:00:00Z,1\n", 422, []string{`"column":"place_id"`, "once"}},
		{"UTF-16", "text/csv", "", "\xff\xfep\x00", 400, []string{"malformed-csv", "save it as UTF-8"}},
		{"column missing", "text/csv", "", "place,air_c\n", 400, []string{"measured_at"}},
		{"column twice", "text/csv", "", "place,place,measured_at,air_c\n", 400, []string{"stands twice"}},
		{"quote not closed", "text/csv", "", "place,measured_at,air_c\n\"bay,2026\n", 400, []string{`"line":2`, "quote"}},
		{"cell missing", "text/csv", "", "place,measured_at,air_c\nbay,1\n", 422, []string{`"line":2`, "2 cells"}},
		{"decimal comma", "text/csv", "", "place,measured_at,air_c\nbay,2026-02-03T08:00:00Z,\"18,5\"\n", 422, []string{`"line":2,"column":"air_c"`, "decimal point"}},
		{"not a number", "text/csv", "", "place,measured_at,air_c\nbay,2026-02-03T08:00:00Z,NaN\nbay,2026-02-03T08:00:00Z,\n", 422, []string{`"line":2,"column":"air_c"`, `"line":3,"column":"air_c"`}},
		{"day first", "text/csv", "", "place,measured_at,air_c\nbay,03/02/2026 08:00,1\n", 422, []string{`"line":2,"column":"measured_at"`, "year first"}},
		{"a day alone", "text/csv", "", "place,measured_at,air_c\nbay,2026-02-03,1\n", 422, []string{`"column":"measured_at"`, "a day without a time"}},
		{"no offset, no such place", "text/csv", "", "place,measured_at,air_c\nbey,2026-02-03T08:00,1\n", 422, []string{`"line":2,"column":"place"`, "bey"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := &client{t, c.handler}
			r := c.bulk(tc.status, tc.media, tc.query, tc.body)
			for _, says := range tc.says {
				if !strings.Contains(r.body, says) {
					t.Errorf("%s doesn't say %q", r.body, says)
				}
			}
			if n := len(c.want(200, "GET", "/v1/temperatures", "").items(t)); n != 0 {
				t.Errorf("%d readings are stored, want none", n)
			}
		})
	}
}

// readings makes a CSV of n readings, ten minutes apart.
func readings(n int) string {
	var b strings.Builder
	b.WriteString("place,measured_at,air_c\n")
	at := testNow.Add(-time.Duration(n) * 10 * time.Minute)
	for i := range n {
		fmt.Fprintf(&b, "bay,%s,%.1f\n", at.Add(time.Duration(i)*10*time.Minute).Format(time.RFC3339), 15+float64(i%100)/10)
	}
	return b.String()
}

func TestBulkOfAHundredThousand(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	c := testClient(t)
	c.add(crop.Places, `{"name": "bay"}`)
	all := readings(mostReadings)
	wantBulk(t, "new", c.bulk(200, "text/csv", "", all), mostReadings, mostReadings, 0, 0)
	wantBulk(t, "again", c.bulk(200, "text/csv", "", all), mostReadings, 0, 0, mostReadings)
	if r := c.bulk(422, "text/csv", "", all+"bay,2026-03-01T11:59:00Z,1\n"); !strings.Contains(r.body, "several requests") {
		t.Errorf("one more than may be: %s", r.body)
	}
}
