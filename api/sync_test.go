package api

import (
	"encoding/json"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// madeID is an id as a client makes it.
func madeID(n int) string { return fmt.Sprintf("0198b2c4-0000-7000-8000-%012x", n) }

func syncBody(items ...string) string { return `{"items": [` + strings.Join(items, ",") + `]}` }

// seasonBatch is a phone's day: everything refers to something that stands later in the list.
func seasonBatch() []string {
	return []string{
		`{"kind": "pickings", "base_version": 0, "record": {"id": "` + madeID(5) + `", "plant_id": "` + madeID(4) + `", "picked_at": "2026-02-04", "fruits": 2}}`,
		`{"kind": "counts", "id": "` + madeID(6) + `", "record": {"plant_id": "` + madeID(4) + `", "counted_at": "2026-02-03", "counts": {"green": 4, "red": 3}}}`,
		`{"kind": "plants", "record": {"id": "` + madeID(4) + `", "season_id": "` + madeID(1) + `", "place_id": "` + madeID(2) + `", "cultivar_id": "` + madeID(3) + `", "label": "A1", "sown_on": "2025-10-01"}}`,
		`{"kind": "cultivars", "record": {"id": "` + madeID(3) + `", "name": "Pip"}}`,
		`{"kind": "places", "record": {"id": "` + madeID(2) + `", "name": "balcony", "time_zone": "Europe/Lisbon"}}`,
		`{"kind": "seasons", "record": {"id": "` + madeID(1) + `", "name": "Winter 2025"}}`,
	}
}

type syncReply struct {
	Items []struct {
		Kind, ID, Effect string
		Version          int
		Deleted          bool
		Warnings         []string
	}
	Warnings []string
}

func (c *client) sync(items ...string) syncReply {
	c.Helper()
	var out syncReply
	if err := json.Unmarshal([]byte(c.want(200, "POST", "/v1/sync", syncBody(items...)).body), &out); err != nil {
		c.Fatal(err)
	}
	if len(out.Items) != len(items) {
		c.Fatalf("%d answers to %d items", len(out.Items), len(items))
	}
	return out
}

func (r syncReply) effects() (all []string) {
	for _, i := range r.Items {
		all = append(all, i.Effect)
	}
	return all
}

func TestSync(t *testing.T) {
	c := testClient(t)
	batch := seasonBatch()
	for i, item := range c.sync(batch...).Items {
		if item.Effect != "created" || item.Version != 1 || !strings.Contains(batch[i], item.ID) || !strings.Contains(batch[i], `"kind": "`+item.Kind+`"`) {
			t.Errorf("item %d: got %+v, want it created", i, item)
		}
	}
	slices.Reverse(batch)
	for i, item := range c.sync(batch...).Items {
		if item.Effect != "unchanged" || item.Version != 1 {
			t.Errorf("item %d sent again in another order: got %+v, want it unchanged", i, item)
		}
	}
}

// TestSyncEditsInAnyOrder: the edits of one record follow the versions that they were made from, wherever they stand.
func TestSyncEditsInAnyOrder(t *testing.T) {
	c := testClient(t)
	item := func(base int, name string) string {
		return fmt.Sprintf(`{"kind": "seasons", "base_version": %d, "record": {"id": %q, "name": %q}}`, base, madeID(1), name)
	}
	gone := fmt.Sprintf(`{"kind": "seasons", "id": %q, "base_version": 3, "delete": true}`, madeID(1))
	got := c.sync(gone, item(2, "three"), item(0, "one"), item(1, "two"))
	if want := []string{"deleted", "replaced", "created", "replaced"}; !slices.Equal(got.effects(), want) {
		t.Errorf("effects %v, want %v", got.effects(), want)
	}
	again := c.sync(item(1, "two"), gone, item(0, "one"))
	for i, x := range again.Items {
		if x.Effect != "unchanged" || x.Version != 4 || !x.Deleted {
			t.Errorf("item %d sent again: got %+v, want the deletion left alone", i, x)
		}
	}
	if len(again.Items[0].Warnings) != 1 {
		t.Errorf("an old edit of a deleted record: warnings %q, want one that says how to bring it back", again.Items[0].Warnings)
	}
	c.want(404, "GET", "/v1/seasons/"+madeID(1), "")
}

// TestSyncRandomRepeats cuts a history of edits into batches, sends them in order but each several times and shuffled
// inside, with old batches in between, and demands that the outcome is that of sending each once.
func TestSyncRandomRepeats(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 7))
	for round := range 20 {
		c := testClient(t)
		var batches [][]string
		version := map[int]int{}
		last := map[int]string{}
		for range 6 {
			var batch []string
			for range 1 + rng.IntN(5) {
				n := 1 + rng.IntN(3)
				name := fmt.Sprintf("season %d, %d", n, rng.IntN(1_000_000))
				batch = append(batch, fmt.Sprintf(`{"kind": "seasons", "base_version": %d, "record": {"id": %q, "name": %q}}`, version[n], madeID(n), name))
				version[n]++
				last[n] = name
			}
			batches = append(batches, batch)
		}
		for i := range batches {
			for range 1 + rng.IntN(2) {
				c.sync(shuffled(rng, batches[i])...)
				c.sync(shuffled(rng, batches[rng.IntN(i+1)])...)
			}
		}
		for n, name := range last {
			got := c.want(200, "GET", "/v1/seasons/"+madeID(n), "").object(t)
			if got["name"] != name || got["version"] != float64(version[n]) {
				t.Fatalf("round %d: record %d is %v, version %v; want %q, %d", round, n, got["name"], got["version"], name, version[n])
			}
		}
	}
}

func shuffled(rng *rand.Rand, items []string) []string {
	items = slices.Clone(items)
	rng.Shuffle(len(items), func(i, j int) { items[i], items[j] = items[j], items[i] })
	return items
}

func TestSyncRefusals(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	good := `{"kind": "seasons", "record": {"id": "` + madeID(9) + `", "name": "kept out"}}`
	count := func(fields string) string {
		return lab.fill(`{"kind": "counts", "record": {"id": "` + madeID(8) + `", "plant_id": "PLANT", "counted_at": "2026-02-03", ` + fields + `}}`)
	}
	for _, tc := range []struct {
		name, body string
		status     int
		pointers   []string
		says       string
	}{
		{"a value out of bounds", syncBody(good, good, good, count(`"counts": {"red": -1}`)), 422, []string{"/items/3/record/counts/red"}, "-1"},
		{"a value of the wrong type", syncBody(good, count(`"counts": {"red": "1"}`)), 422, []string{"/items/1/record/counts/red"}, "whole number"},
		{"an unknown field", syncBody(count(`"total": 1, "colour": "red"`)), 422, []string{"/items/0/record/colour"}, "counted_at"},
		{"an unknown field of the item", syncBody(`{"kind": "seasons", "op": "put"}`), 422, []string{"/items/0/op", "/items/0/record"}, "base_version"},
		{"an unknown kind", syncBody(`{"kind": "fruit", "record": {}}`), 422, []string{"/items/0/kind"}, "seasons"},
		{"no kind", syncBody(`{"record": {}}`), 422, []string{"/items/0/kind"}, "seasons"},
		{"no record", syncBody(`{"kind": "seasons"}`), 422, []string{"/items/0/record"}, "missing"},
		{"no id", syncBody(`{"kind": "seasons", "record": {"name": "x"}}`), 422, []string{"/items/0/record/id"}, "UUID"},
		{"two ids", syncBody(`{"kind": "seasons", "id": "` + madeID(1) + `", "record": {"id": "` + madeID(2) + `", "name": "x"}}`), 422, []string{"/items/0/id"}, "give one of them"},
		{"two bases", syncBody(`{"kind": "seasons", "base_version": 1, "record": {"id": "` + madeID(1) + `", "name": "x", "base_version": 2}}`), 422, []string{"/items/0/base_version"}, "give one of them"},
		{"deletion without a base", syncBody(`{"kind": "seasons", "id": "` + lab.season + `", "delete": true}`), 422, []string{"/items/0/base_version"}, "deletion"},
		{"deletion of nothing", syncBody(`{"kind": "seasons", "id": "` + madeID(7) + `", "base_version": 1, "delete": true}`), 404, []string{"/items/0"}, "no season"},
		{"an id that is taken", syncBody(`{"kind": "places", "base_version": 0, "record": {"id": "` + lab.place + `", "name": "bay"}}`), 409, []string{"/items/0/record/id"}, "read it"},
		{"a stale base", syncBody(good, `{"kind": "places", "base_version": 7, "record": {"id": "`+lab.place+`", "name": "bay"}}`), 409, []string{"/items/1/base_version"}, "version 1"},
		{"still referred to", syncBody(`{"kind": "places", "id": "` + lab.place + `", "base_version": 1, "delete": true}`), 409, nil, "refer"},
		{"not an object", `[]`, 422, []string{""}, "items"},
		{"no items", `{}`, 422, []string{"/items"}, "missing"},
		{"items that aren't a list", `{"items": {}}`, 422, []string{"/items"}, "list"},
		{"an item that isn't an object", syncBody(good, `7`), 422, []string{"/items/1"}, "object"},
		{"another name", `{"items": [], "more": 1}`, 422, []string{"/more"}, "items"},
		{"cut short", `{"items": [{"kind": "seasons"`, 400, nil, "send all"},
		{"a name twice", syncBody(good, `{"kind": "seasons", "kind": "seasons"}`), 400, []string{"/items/1/kind"}, "twice"},
		{"something after it", syncBody(good) + `{}`, 400, []string{""}, "follows"},
		{"two records with one name", syncBody(good, strings.Replace(good, madeID(9), madeID(10), 1)), 409, []string{"/items/1/record/name"}, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := &client{t, c.handler}
			r := c.want(tc.status, "POST", "/v1/sync", tc.body)
			if tc.pointers != nil && !slices.Equal(r.pointers(t), tc.pointers) {
				t.Errorf("pointers %q, want %q: %s", r.pointers(t), tc.pointers, r.body)
			}
			if !strings.Contains(r.body, tc.says) {
				t.Errorf("%s doesn't say %q", r.body, tc.says)
			}
			c.want(404, "GET", "/v1/seasons/"+madeID(9), "") // all or nothing
		})
	}
	c.want(200, "POST", "/v1/sync", `{"items": []}`)
	many := make([]string, 70)
	for i := range many {
		many[i] = `{"kind": "fruit"}`
	}
	r := c.want(422, "POST", "/v1/sync", syncBody(many...))
	if n := len(r.pointers(t)); n != mostFaults || !strings.Contains(r.body, "these are the first") {
		t.Errorf("%d faults told, want %d and a word that these are the first: %.300s", n, mostFaults, r.body)
	}
}

func TestSyncTooLarge(t *testing.T) {
	h := New(Config{Store: newSite(t), Logger: slog.New(slog.DiscardHandler), Limits: Limits{BulkBody: 2000}, Hosts: testHosts})
	c := &client{t, h}
	c.want(413, "POST", "/v1/sync", syncBody(`{"kind": "seasons", "record": {"id": "`+madeID(1)+`", "name": "`+strings.Repeat("x", 150)+`", "note": "`+strings.Repeat("x", 2000)+`"}}`))
	c.add(crop.Places, `{"name": "bay"}`)
	c.want(413, "POST", "/v1/temperatures/bulk", "measured_at,place,air_c\n"+strings.Repeat("2026-02-03T08:00:00Z,bay,20.5\n", 100), "Content-Type", "text/csv")
	c.want(415, "POST", "/v1/sync", "x", "Content-Type", "text/csv")
}

func TestWhoRecorded(t *testing.T) {
	c := testClient(t)
	const at = "/v1/seasons/0198b2c4-0000-7000-8000-000000000001"
	c.want(201, "PUT", at, `{"name": "one"}`, "X-Recorded-By", "Ana Müller")
	c.want(200, "PUT", at, `{"name": "two"}`)
	c.want(200, "POST", "/v1/sync", syncBody(`{"kind": "seasons", "record": {"id": "`+madeID(1)+`", "name": "three"}}`), "X-Recorded-By", "phone 7")
	c.want(400, "PUT", at, `{"name": "four"}`, "X-Recorded-By", strings.Repeat("é", crop.MaxName+1))
	c.want(400, "PUT", at, `{"name": "four"}`, "X-Recorded-By", "\xff")
	var who []any
	for _, v := range c.want(200, "GET", at+"/history", "").items(t) {
		who = append(who, v.(map[string]any)["recorded_by"])
	}
	if want := []any{"Ana Müller", "rest", "phone 7"}; !slices.Equal(who, want) {
		t.Errorf("history says %v, want %v", who, want)
	}
}

func TestRestore(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	at := "/v1/cultivars/" + lab.cultivar
	c.want(200, "PUT", at, `{"name": "Pip the second", "hold_days": 3}`)
	back := c.want(200, "POST", at+"/restore", `{"version": 1}`)
	if got := back.object(t); got["name"] != "Pip" || got["version"] != 3.0 || back.header.Get("ETag") != `"3"` {
		t.Errorf("restored: %s, want version 3 named Pip", back.body)
	}
	if got := c.want(200, "POST", at+"/restore", `{"version": 1}`).object(t); got["version"] != 3.0 {
		t.Errorf("restored twice: version %v, want 3", got["version"])
	}
	c.want(412, "POST", at+"/restore", `{"version": 2}`, "If-Match", `"2"`)
	c.want(409, "POST", at+"/restore", `{"version": 2, "base_version": 2}`)
	c.want(200, "POST", at+"/restore", `{"version": 2}`, "If-Match", `"3"`)

	count := c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-02-03", "counts": {"green": 2}}`))
	c.want(204, "DELETE", "/v1/counts/"+count, "")
	made := c.want(201, "POST", "/v1/counts/"+count+"/restore", `{"version": 1}`).object(t)
	if made["version"] != 3.0 || made["time_known"] != false {
		t.Errorf("a deleted count restored: %v, want version 3 and still a day alone", made)
	}
	for _, tc := range []struct {
		name, body, pointer string
		status              int
	}{
		{"no such version", `{"version": 9}`, "/version", 422},
		{"a deletion", `{"version": 2}`, "/version", 422},
		{"no version", `{}`, "/version", 422},
		{"not a number", `{"version": "1"}`, "/version", 422},
		{"another field", `{"version": 1, "to": 2}`, "/to", 422},
		{"negative base", `{"version": 1, "base_version": -1}`, "/base_version", 422},
	} {
		r := c.want(tc.status, "POST", "/v1/counts/"+count+"/restore", tc.body)
		if got := r.pointers(t); !slices.Equal(got, []string{tc.pointer}) {
			t.Errorf("%s: pointers %q, want %q", tc.name, got, tc.pointer)
		}
	}
	c.want(404, "POST", "/v1/counts/"+madeID(1)+"/restore", `{"version": 1}`)
	// What it refers to is gone: the rules of today hold.
	c.want(204, "DELETE", "/v1/counts/"+count, "")
	c.want(204, "DELETE", "/v1/plants/"+lab.plant, "")
	r := c.want(422, "POST", "/v1/counts/"+count+"/restore", `{"version": 1}`)
	if got := r.pointers(t); !slices.Contains(got, "/plant_id") {
		t.Errorf("its plant is gone: pointers %q, want /plant_id", got)
	}
}

// TestTwoEditors: of two people who edit what both have read, the second is told, and nothing of the first is lost.
func TestTwoEditors(t *testing.T) {
	c := testClient(t)
	at := "/v1/places/" + c.add(crop.Places, `{"name": "bench"}`)
	ana, ben := c.want(200, "GET", at, ""), c.want(200, "GET", at, "")
	edit := func(r reply, name string) string { return strings.Replace(r.body, `"bench"`, `"`+name+`"`, 1) }
	c.want(200, "PUT", at, edit(ana, "bench by the door"), "If-Match", ana.header.Get("ETag"))
	refused := c.want(412, "PUT", at, edit(ben, "long bench"), "If-Match", ben.header.Get("ETag"))
	if !strings.Contains(refused.body, "version 2") || !strings.Contains(refused.body, "read it again") {
		t.Errorf("%s doesn't say the version and what to do", refused.body)
	}
	c.want(412, "DELETE", at, "", "If-Match", ben.header.Get("ETag"))
	now := c.want(200, "GET", at, "")
	if now.object(t)["name"] != "bench by the door" {
		t.Errorf("now %s, want the first edit kept", now.body)
	}
	c.want(200, "PUT", at, strings.Replace(now.body, "bench by the door", "long bench by the door", 1), "If-Match", now.header.Get("ETag"))
	c.want(304, "GET", at, "", "If-None-Match", `"3"`)
	// Without a precondition an old body reverts nothing, and the answer says how to do it on purpose.
	old := c.want(200, "PUT", at, `{"name": "bench"}`).object(t)
	if old["version"] != 3.0 || !strings.Contains(fmt.Sprint(old["warnings"]), "base_version 3") {
		t.Errorf("an old body without a base: %v, want version 3 and a warning", old)
	}
	c.want(200, "PUT", at, `{"name": "bench"}`, "If-Match", `"3"`)
}
