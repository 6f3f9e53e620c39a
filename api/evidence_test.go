package api

import (
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestImpossibleEvidenceIsKept: what can't be right is stored, and the answer says what doesn't fit.
func TestImpossibleEvidenceIsKept(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	send := func(kind crop.Kind, body string) string {
		return c.want(201, "POST", "/v1/"+string(kind), lab.fill(body)).warnings(t)
	}
	none := func(what, got string) {
		t.Helper()
		if got != "" {
			t.Errorf("%s: warning %q, want none", what, got)
		}
	}
	none("the first count", send(crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-02-03T08:00:00Z", "counts": {"green": 5, "breaker": 0, "turning": 0, "red": 2}}`))
	none("two picked of seven", send(crop.Pickings, `{"plant_id": "PLANT", "picked_at": "2026-02-04T08:00:00Z", "fruits": 2}`))
	if got := send(crop.Pickings, `{"plant_id": "PLANT", "picked_at": "2026-02-05T08:00:00Z", "fruits": 40}`); !strings.Contains(got, "only 7 fruit of any stage stood") {
		t.Errorf("40 ripe fruit picked where 7 stood: warning %q", got)
	}
	if got := send(crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-02-03T08:00:00Z", "counts": {"green": 25, "breaker": 0, "turning": 0, "red": 2}}`); !strings.Contains(got, "Two counts") {
		t.Errorf("a second count of the same time that disagrees: warning %q", got)
	}
	none("a loss that nothing contradicts", send(crop.Losses, `{"plant_id": "PLANT", "lost_at": "2026-01-03T08:00:00Z", "stage": "green", "fruits": 1, "cause": "dropped"}`))
	c.want(200, "GET", "/v1/pickings", "")

	c.want(200, "PUT", "/v1/plants/"+lab.plant, lab.fill(`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "A1", "sown_on": "2025-10-01", "removed_on": "2026-02-10"}`))
	got := c.sync(lab.fill(`{"kind": "counts", "record": {"id": "`+madeID(1)+`", "plant_id": "PLANT", "counted_at": "2026-02-12", "counts": {"green": 3}}}`),
		lab.fill(`{"kind": "losses", "record": {"id": "`+madeID(2)+`", "plant_id": "PLANT", "lost_at": "2026-02-13", "stage": "red", "fruits": 1, "cause": "split"}}`))
	if w := strings.Join(got.Items[0].Warnings, "\n"); !strings.Contains(w, "removed on 10 Feb 2026") {
		t.Errorf("a count after the removal: warnings %q", w)
	}
	if w := strings.Join(got.Items[1].Warnings, "\n"); !strings.Contains(w, "removed on 10 Feb 2026") {
		t.Errorf("a loss after the removal: warnings %q", w)
	}
}

// TestToldOnce: a contradiction is told when a record makes it, and again only when one makes it worse.
func TestToldOnce(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	send := func(kind crop.Kind, body string) string {
		return c.want(201, "POST", "/v1/"+string(kind), lab.fill(body)).warnings(t)
	}
	picked := func(day, fruits string) string {
		return send(crop.Pickings, `{"plant_id": "PLANT", "picked_at": "`+day+`", "fruits": `+fruits+`}`)
	}
	send(crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-02-01T08:00:00Z", "counts": {"green": 30, "breaker": 0, "turning": 0, "red": 20}}`)
	// 20 red and 4: 16 are missing, far beyond chance.
	if got := send(crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-02-08T08:00:00Z", "counts": {"green": 30, "breaker": 0, "turning": 0, "red": 4}}`); !strings.Contains(got, "has 16 red fruit fewer") {
		t.Errorf("the count that lacks 16 red: warning %q", got)
	}
	for _, r := range []struct {
		what, got, want string
	}{
		{"a picking that explains 6 of the 16", picked("2026-02-03T08:00:00Z", "6"), ""},
		{"a picking after the last count", picked("2026-02-09T08:00:00Z", "2"), ""},
		{"a loss that explains nothing", send(crop.Losses, `{"plant_id": "PLANT", "lost_at": "2026-02-09T08:00:00Z", "stage": "green", "fruits": 1, "cause": "dropped"}`), ""},
		// After a picking before the first count 6 + 20 are accounted for at both: the 10 missing stay 10.
		{"a picking before the first count", picked("2026-01-30T08:00:00Z", "6"), ""},
		{"more red at the first count, a second row that agrees in part", send(crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-02-05T08:00:00Z", "counts": {"red": 25}}`), "has 21 red fruit fewer"},
	} {
		if r.want == "" && r.got != "" || !strings.Contains(r.got, r.want) {
			t.Errorf("%s: warning %q, want %q", r.what, r.got, r.want)
		}
	}
}

// TestOverPickingOfACountOfAPart: a count that was given up, or of some trusses, or of some stages says nothing of what it left out; it doesn't
// hide either that more was picked than stood at a count of all before it.
func TestOverPickingOfACountOfAPart(t *testing.T) {
	whole := `"counts": {"green": 14, "breaker": 2, "turning": 2, "red": 2}`
	for _, tc := range []struct {
		name, part, want string
		before           bool // a count of all came before
	}{
		{"given up", `"counts": {"red": 2}, "at_least": true`, "", false},
		{"given up at a total", `"counts": {"red": 2}, "total": 9, "at_least": true`, "", false},
		{"some trusses", `"counts": {"green": 2, "breaker": 0, "turning": 0, "red": 2}, "trusses_counted": 2, "trusses_total": 5`, "", false},
		{"the first truss", `"counts": {"green": 2, "breaker": 0, "turning": 0, "red": 2}, "truss": 1, "trusses_total": 5`, "", false},
		{"a glance", `"counts": {"green": 5}, "about": true`, "", false},
		{"green ones alone", `"counts": {"green": 5}`, "", false},
		{"given up after a count of all", `"counts": {"red": 1}, "at_least": true`, "only 20 fruit of any stage stood", true},
		{"some trusses after a count of all", `"counts": {"green": 2, "breaker": 0, "turning": 0, "red": 1}, "trusses_counted": 2, "trusses_total": 5`, "only 20 fruit of any stage stood", true},
		{"given up, having seen more than a count of all", `"counts": {"red": 31}, "at_least": true`, "", true},
		{"red ones alone, and more picked that day", `"counts": {"red": 5}`, "30 red fruit were picked or lost after the count, which had 5", false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := testClient(t)
			lab := newTrial(c)
			if tc.before {
				c.want(201, "POST", "/v1/counts", lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-01T08:00:00Z", `+whole+`}`))
			}
			c.want(201, "POST", "/v1/counts", lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-03T08:00:00Z", `+tc.part+`}`))
			got := c.want(201, "POST", "/v1/pickings", lab.fill(`{"plant_id": "PLANT", "picked_at": "2026-02-03T09:00:00Z", "fruits": 30}`)).warnings(t)
			if tc.want == "" && got != "" || !strings.Contains(got, tc.want) {
				t.Errorf("warning %q, want %q", got, tc.want)
			}
		})
	}
}
