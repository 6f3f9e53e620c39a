package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net/http"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// body is a record as JSON.
type body = map[string]any

// told is a record as a client was told that it is kept: every version, nil for a deletion.
type told struct {
	kind, id string
	versions []body
	looked   int // how many of the versions were found in the history
}

func (r *told) current() body {
	if len(r.versions) == 0 {
		return nil
	}
	return r.versions[len(r.versions)-1]
}

// step is what a request does to one record.
type step struct {
	record *told
	to     body
}

// request is one write, which may be sent again.
type request struct {
	method, path, match string
	text                []byte
	steps               []step
}

// grower is a client with records of its own that remembers what it was told.
type grower struct {
	t       *testing.T
	name    string
	rng     *rand.Rand
	client  *http.Client
	records map[string]*told // by kind and id
	order   []*told          // as first sent
	open    *request         // sent, and not answered
	n       int

	begun   *atomic.Int64 // requests sent, of all growers of a server
	busy    int           // answers of 503
	longest time.Duration
	acked   int

	mu  sync.Mutex
	ids []string // of the records, if it only adds; others may ask for them
}

// trialBase is what the growers' plants stand in, the same in every database of these tests.
func trialBase() *request {
	r := &request{method: "POST", path: "/v1/sync"}
	var items []any
	for _, item := range []struct {
		kind, id string
		record   body
	}{
		{"seasons", seasonID, body{"name": "Spring (invented)"}},
		{"places", placeID, body{"name": "Sill", "time_zone": "Etc/UTC"}},
		{"cultivars", cultivarID, body{"name": "Pip (invented)"}},
	} {
		item.record["id"] = item.id
		items = append(items, body{"kind": item.kind, "record": item.record})
	}
	r.text = encoded(body{"items": items})
	return r
}

const (
	seasonID   = "5ea50000-0000-4000-8000-000000000001"
	placeID    = "91ace000-0000-4000-8000-000000000001"
	cultivarID = "c0170000-0000-4000-8000-000000000001"
)

func newGrower(t *testing.T, name string, rng *rand.Rand, begun *atomic.Int64) *grower {
	return &grower{t: t, name: name, rng: rng, records: map[string]*told{}, begun: begun,
		client: &http.Client{Transport: &http.Transport{}, Timeout: time.Minute}}
}

// encoded is JSON of what always can be.
func encoded(v any) []byte {
	text, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return text
}

func (g *grower) newID() string {
	a, b := g.rng.Uint64(), g.rng.Uint64()
	return fmt.Sprintf("%08x-%04x-4%03x-8%03x-%012x", a>>32, a>>16&0xffff, a&0xfff, b>>48&0xfff, b&0xffffffffffff)
}

// fresh is a new record of a kind on one of the plants, with contents that no other has.
func (g *grower) fresh(kind string, plant *told) step {
	g.n++
	r := &told{kind: kind, id: g.newID()}
	at := time.Date(2025, 3, 1, 8, g.n, 0, 0, time.UTC).Format(time.RFC3339)
	b := body{"id": r.id, "note": fmt.Sprintf("%s, number %d, “%x”", g.name, g.n, g.rng.Uint64())}
	if kind == "plants" {
		b["season_id"], b["place_id"], b["cultivar_id"] = seasonID, placeID, cultivarID
		b["label"], b["sown_on"] = fmt.Sprintf("%s-%d", g.name, g.n), "2025-01-01"
		return step{r, b}
	}
	b["plant_id"] = plant.id
	switch kind {
	case "counts":
		b["counted_at"], b["counts"] = at, body{"green": float64(g.rng.IntN(40)), "red": float64(g.rng.IntN(9))}
	case "pickings":
		b["picked_at"], b["stage"], b["fruits"], b["mass_g"] = at, "red", float64(1+g.rng.IntN(5)), float64(g.rng.IntN(900))/10
	case "losses":
		b["lost_at"], b["stage"], b["fruits"], b["cause"] = at, "red", float64(1+g.rng.IntN(3)), "split"
	case "diary":
		b["noted_at"], b["kind"], b["season_id"] = at, "pruned", seasonID
	}
	return step{r, b}
}

// some picks a record that is there, of the kind if one is named; nil if there is none.
func (g *grower) some(kind string, taken map[*told]bool) *told {
	for range 20 {
		if len(g.order) == 0 {
			return nil
		}
		r := g.order[g.rng.IntN(len(g.order))]
		if r.current() != nil && !taken[r] && (kind == "" || r.kind == kind) {
			return r
		}
	}
	return nil
}

// contents is a version without what only answers have.
func contents(version body) body {
	b := maps.Clone(version)
	for _, own := range []string{"version", "recorded_at", "recorded_by", "time_known"} {
		delete(b, own)
	}
	return b
}

// edited is the record with another note.
func (g *grower) edited(r *told) step {
	g.n++
	b := contents(r.current())
	b["note"] = fmt.Sprintf("%s, edited, number %d, “%x”", g.name, g.n, g.rng.Uint64())
	return step{r, b}
}

var eventKinds = []string{"counts", "counts", "counts", "pickings", "losses", "diary"}

func (g *grower) add() *request {
	plant := g.some("plants", nil)
	var s step
	if plant == nil || g.rng.IntN(25) == 0 {
		s = g.fresh("plants", nil)
	} else {
		s = g.fresh(eventKinds[g.rng.IntN(len(eventKinds))], plant)
	}
	r := &request{method: "POST", path: "/v1/" + s.record.kind, text: encoded(s.to), steps: []step{s}}
	if g.rng.IntN(2) == 0 {
		r.method, r.path = "PUT", r.path+"/"+s.record.id
	}
	return r
}

// edit changes, deletes or restores a record.
func (g *grower) edit() *request {
	r := g.some("", nil)
	if r == nil {
		return g.add()
	}
	path, match := "/v1/"+r.kind+"/"+r.id, fmt.Sprintf("%q", fmt.Sprint(len(r.versions)))
	switch what := g.rng.IntN(10); {
	case what < 3 && r.kind != "plants": // others refer to plants
		return &request{method: "DELETE", path: path, match: match, steps: []step{{r, nil}}}
	case what < 4 && len(r.versions) > 1 && r.versions[0]["note"] != r.current()["note"]:
		return &request{method: "POST", path: path + "/restore", match: match, text: encoded(body{"version": 1}), steps: []step{{r, contents(r.versions[0])}}}
	case what < 7:
		s := g.edited(r)
		s.to["base_version"] = len(r.versions)
		text := encoded(s.to)
		delete(s.to, "base_version")
		return &request{method: "PUT", path: path, text: text, steps: []step{s}}
	}
	s := g.edited(r)
	return &request{method: "PUT", path: path, match: match, text: encoded(s.to), steps: []step{s}}
}

// batch is a sync of new records, edits and deletions, sometimes of a new plant and what was seen on it.
func (g *grower) batch() *request {
	var items []any
	r := &request{method: "POST", path: "/v1/sync"}
	plant := g.some("plants", nil)
	if plant == nil || g.rng.IntN(3) == 0 {
		s := g.fresh("plants", nil)
		plant = s.record
		r.steps = append(r.steps, s)
		items = append(items, body{"kind": "plants", "base_version": 0, "record": s.to})
	}
	taken := map[*told]bool{plant: true}
	for range 2 + g.rng.IntN(60) {
		old := g.some("", taken)
		what := g.rng.IntN(8)
		var s step
		switch {
		case what == 0 && old != nil:
			s = g.edited(old)
			items = append(items, body{"kind": s.record.kind, "base_version": len(old.versions), "record": s.to})
		case what == 1 && old != nil && old.kind != "plants":
			s = step{old, nil}
			items = append(items, body{"kind": old.kind, "id": old.id, "base_version": len(old.versions), "delete": true})
		default:
			s = g.fresh(eventKinds[g.rng.IntN(len(eventKinds))], plant)
			items = append(items, body{"kind": s.record.kind, "record": s.to})
		}
		taken[s.record] = true
		r.steps = append(r.steps, s)
	}
	g.rng.Shuffle(len(items), func(i, j int) { items[i], items[j] = items[j], items[i] })
	r.text = encoded(body{"items": items})
	return r
}

// mix is how many of a hundred requests are edits and batches; the others add a record.
type mix struct{ edits, batches int }

func (m mix) next(g *grower) *request {
	switch n := g.rng.IntN(100); {
	case n < m.edits:
		return g.edit()
	case n < m.edits+m.batches:
		return g.batch()
	}
	return g.add()
}

// work writes until the server is gone or stop is closed. What is sent when the server goes stays open.
func (g *grower) work(base string, m mix, stop <-chan struct{}) {
	for {
		select {
		case <-stop:
			return
		default:
		}
		r := m.next(g)
		g.open = r
		answer, ok := g.send(base, r)
		if !ok {
			return
		}
		g.keep(r, answer)
	}
}

// send sends a request, again while the answer is that the store is busy. It is false if no whole answer came.
func (g *grower) send(base string, r *request) (answer body, ok bool) {
	for {
		g.begun.Add(1)
		start := time.Now()
		status, header, text, err := g.do(g.httpRequest(base, r))
		g.longest = max(g.longest, time.Since(start))
		switch {
		case err != nil:
			return nil, false
		case status == http.StatusServiceUnavailable && header.Get("Retry-After") != "":
			g.busy++
			time.Sleep(100 * time.Millisecond)
			continue
		case status == http.StatusNoContent:
			return nil, true
		case status != http.StatusOK && status != http.StatusCreated:
			g.t.Errorf("%s: %s %s %.300s: %d %s", g.name, r.method, r.path, r.text, status, text)
			return nil, false
		}
		if err := json.Unmarshal(text, &answer); err != nil {
			g.t.Errorf("%s: %s %s answers %q: %v", g.name, r.method, r.path, text, err)
			return nil, false
		}
		return answer, true
	}
}

func (g *grower) httpRequest(base string, r *request) *http.Request {
	req, err := http.NewRequest(r.method, base+r.path, bytes.NewReader(r.text))
	if err != nil { // a method and an address of ours are right
		panic(err)
	}
	req.GetBody = nil // the client must not send it again by itself
	req.Header.Set("Content-Type", "application/json")
	if r.match != "" {
		req.Header.Set("If-Match", r.match)
	}
	return req
}

func (g *grower) do(req *http.Request) (status int, header http.Header, text []byte, err error) {
	resp, err := g.client.Do(req)
	if err != nil {
		return 0, nil, nil, err
	}
	defer resp.Body.Close()
	text, err = io.ReadAll(resp.Body)
	return resp.StatusCode, resp.Header, text, err
}

// keepText is keep of an answer as it came.
func (g *grower) keepText(r *request, text []byte) {
	g.t.Helper()
	var answer body
	if len(text) > 0 {
		if err := json.Unmarshal(text, &answer); err != nil {
			g.t.Fatalf("%s: %s %s answers %q: %v", g.name, r.method, r.path, text, err)
		}
	}
	g.keep(r, answer)
}

// keep remembers what an answer said is kept.
func (g *grower) keep(r *request, answer body) {
	g.open = nil
	g.acked++
	for _, s := range r.steps {
		to := s.to
		if len(r.steps) == 1 && to != nil { // the answer is the record
			g.wantHeld(r.path, answer, to)
			delete(answer, "warnings")
			to = answer
		}
		g.took(s.record, to)
	}
}

func (g *grower) took(r *told, to body) {
	if len(r.versions) == 0 {
		g.records[r.kind+"/"+r.id] = r
		g.order = append(g.order, r)
	}
	r.versions = append(r.versions, to)
	g.mu.Lock()
	g.ids = append(g.ids, r.id)
	g.mu.Unlock()
}
