package api

import (
	"encoding/json"
	"reflect"
	"testing"

	"vinetally/analytics/crop"
)

// The second visit is the example of the public contract: 18 standing, 25 set, four picked and one lost since the count
// before, five and two in all.
func TestLedger(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	for _, r := range []struct {
		kind crop.Kind
		body string
	}{
		{crop.Losses, `{"plant_id": "PLANT", "lost_at": "2026-01-08T09:00:00Z", "stage": "red", "fruits": 1, "cause": "split"}`},
		{crop.Pickings, `{"plant_id": "PLANT", "picked_at": "2026-01-09T09:00:00Z", "fruits": 1}`},
		{crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-01-10T09:00:00Z", "counts": {"green": 14, "breaker": 3, "turning": 1, "red": 4}}`},
		{crop.Pickings, `{"plant_id": "PLANT", "picked_at": "2026-01-10T09:00:00Z", "fruits": 4}`},
		{crop.Losses, `{"plant_id": "PLANT", "lost_at": "2026-01-17T09:00:00Z", "stage": "red", "fruits": 1, "cause": "dropped"}`},
		{crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-01-17T09:00:00Z", "counts": {"green": 12, "breaker": 3, "turning": 1, "red": 2}}`},
		{crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-01-24", "counts": {"turning": 1, "red": 2}}`},
	} {
		c.add(r.kind, lab.fill(r.body))
	}
	at := "/v1/plants/" + lab.plant + "/ledger"
	got := c.want(200, "GET", at+"?as_of=2026-01-20T00:00:00Z", "").object(t)
	var want map[string]any
	if err := json.Unmarshal([]byte(`{
		"plant": "A1", "scale": ["green", "breaker", "turning", "red"],
		"totals": {"set_at_least": 25, "standing": 18, "picked": 5, "lost": 2, "unaccounted": 0},
		"last": {"counted_at": "2026-01-17T09:00:00Z", "coverage": ["whole"],
			"standing": {"green": 12, "breaker": 3, "turning": 1, "red": 2},
			"ever_reached": {"green": 25, "breaker": 13, "turning": 10, "red": 9},
			"picked": {"green": 0, "breaker": 0, "turning": 0, "red": 4}, "lost": {"green": 0, "breaker": 0, "turning": 0, "red": 1},
			"unaccounted": {"green": 0, "breaker": 0, "turning": 0, "red": 0}},
		"since_last_count": {"picked": {"green": 0, "breaker": 0, "turning": 0, "red": 0}, "lost": {"green": 0, "breaker": 0, "turning": 0, "red": 0}},
		"contradictions": [], "warnings": []}`), &want); err != nil {
		t.Fatal(err)
	}
	visits := got["visits"].([]any)
	if len(visits) != 2 {
		t.Fatalf("got %d visits as of 20 January, want 2", len(visits))
	}
	got["last"] = visits[1]
	wantPart(t, "", got, want)

	all := c.want(200, "GET", at, "").object(t)["visits"].([]any)
	wantPart(t, "/partial", all[len(all)-1], map[string]any{
		"counted_at": "2026-01-24T12:00:00Z", "time_known": false, "coverage": []any{"stages"},
		"standing":     map[string]any{"green": nil, "breaker": nil, "turning": 1.0, "red": 2.0},
		"ever_reached": map[string]any{"green": nil, "breaker": nil, "turning": 10.0, "red": 9.0},
	})
}

// TestLedgerBounds: a total without colours, trusses one by one, and fruit of the whole place between what is known and what may be. Of
// four trusses the second and fourth have 3 and 5 green fruit: 4·4 = 16.
func TestLedgerBounds(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	for _, r := range []struct {
		kind crop.Kind
		body string
	}{
		{crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-01-10T09:00:00Z", "counts": {"red": 2}, "total": 9}`},
		{crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-01-17T09:00:00Z", "counts": {"green": 3}, "truss": 2, "trusses_total": 4}`},
		{crop.Visits, `{"plant_id": "PLANT", "counted_at": "2026-01-17T09:00:00Z", "counts": {"green": 5}, "truss": 4, "trusses_total": 4}`},
	} {
		c.add(r.kind, lab.fill(r.body))
	}
	got := c.want(200, "GET", "/v1/plants/"+lab.plant+"/ledger", "").object(t)
	visits := got["visits"].([]any)
	wantPart(t, "/total", visits[0], map[string]any{
		"standing_at_least":    map[string]any{"green": 0.0, "breaker": 0.0, "turning": 0.0, "red": 2.0},
		"standing_at_most":     map[string]any{"green": 7.0, "breaker": 7.0, "turning": 7.0, "red": 2.0},
		"ever_reached_at_most": map[string]any{"green": 9.0, "breaker": 9.0, "turning": 9.0, "red": 2.0},
	})
	wantPart(t, "/trusses", visits[1], map[string]any{"standing_at_most": map[string]any{"green": nil, "breaker": nil, "turning": nil, "red": nil}})
	estimate := visits[1].(map[string]any)["standing_estimate"].([]any)
	if len(estimate) != 1 {
		t.Fatalf("got %v, want an estimate of green fruit", estimate)
	}
	wantPart(t, "/estimate", estimate[0], map[string]any{"stage": "green", "value": 16.0, "level": 0.9, "seen": 8.0, "trusses_counted": 2.0, "trusses_total": 4.0, "low": 8.0})
	wantPart(t, "/totals", got["totals"], map[string]any{"standing": nil, "standing_at_least": 9.0, "standing_at_most": nil, "picked_at_most": 0.0, "lost_at_most": 0.0})
}

// wantPart demands that got holds whatever want does; got may hold more fields.
func wantPart(t *testing.T, at string, got, want any) {
	t.Helper()
	object, ok := want.(map[string]any)
	if !ok {
		if !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got %v, want %v", at, got, want)
		}
		return
	}
	have, ok := got.(map[string]any)
	if !ok {
		t.Errorf("%s: got %v, want an object", at, got)
		return
	}
	for name, w := range object {
		g, ok := have[name]
		if !ok {
			t.Errorf("%s/%s is missing", at, name)
			continue
		}
		wantPart(t, at+"/"+name, g, w)
	}
}

func TestLedgerRefusals(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	for _, tc := range []struct {
		name, target string
		status       int
	}{
		{"no such plant", "/v1/plants/0198b2c4-0000-7000-8000-000000000001/ledger", 404},
		{"not an id", "/v1/plants/A1/ledger", 400},
		{"as_of in words", "/v1/plants/" + lab.plant + "/ledger?as_of=yesterday", 400},
		{"as_of a day alone", "/v1/plants/" + lab.plant + "/ledger?as_of=2026-02-03", 400},
		{"as_of without an offset", "/v1/plants/" + lab.plant + "/ledger?as_of=2026-02-03T08:00:00", 400},
		{"unknown parameter", "/v1/plants/" + lab.plant + "/ledger?stage=red", 400},
		{"nothing recorded", "/v1/plants/" + lab.plant + "/ledger", 200},
		{"before anything", "/v1/plants/" + lab.plant + "/ledger?as_of=1950-01-01T00:00:00%2B14:00", 404},
	} {
		t.Run(tc.name, func(t *testing.T) {
			(&client{t, c.handler}).want(tc.status, "GET", tc.target, "")
		})
	}
}

func TestDeletingWhatOthersReferTo(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	count := c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-01-10", "counts": {"green": 1}}`))
	for _, target := range []string{"/v1/plants/" + lab.plant, "/v1/seasons/" + lab.season, "/v1/places/" + lab.place, "/v1/cultivars/" + lab.cultivar} {
		r := c.want(409, "DELETE", target, "")
		if len(r.pointers(t)) == 0 {
			t.Errorf("%s: %s doesn't say what refers to it", target, r.body)
		}
		t.Log(r.body)
	}
	for _, target := range []string{"/v1/counts/" + count, "/v1/plants/" + lab.plant, "/v1/seasons/" + lab.season} {
		c.want(204, "DELETE", target, "")
	}
}

func TestFilters(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-01-10T23:59:59.999Z", "counts": {"green": 1}}`))
	c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-01-11T00:00:00Z", "counts": {"green": 1}}`))
	other := "0198b2c4-0000-7000-8000-000000000001"
	for _, tc := range []struct {
		query string
		want  int
	}{
		{"plant_id=" + lab.plant, 2}, {"season_id=" + lab.season, 2}, {"place_id=" + lab.place, 2}, {"cultivar_id=" + lab.cultivar, 2},
		{"plant_id=" + other, 0}, {"season_id=" + other, 0}, {"place_id=" + other, 0}, {"cultivar_id=" + other, 0},
		{"from=2026-01-11", 1}, {"to=2026-01-10", 1}, {"from=2026-01-10&to=2026-01-11", 2}, {"from=2026-01-11T00:00:00.001Z", 0},
	} {
		if got := len(c.want(200, "GET", "/v1/counts?"+tc.query, "").items(t)); got != tc.want {
			t.Errorf("%s: got %d counts, want %d", tc.query, got, tc.want)
		}
	}
	// Every filter that an address lists works on the store.
	for _, kind := range crop.Kinds() {
		for _, name := range filtersOf(kind) {
			value := other
			if name == "from" || name == "to" {
				value = "2026-01-10"
			}
			c.want(200, "GET", "/v1/"+string(kind)+"?"+name+"="+value, "")
		}
	}
	c.want(400, "GET", "/v1/counts?cursor=nonsense", "")
}
