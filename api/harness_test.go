package api

import (
	"encoding/json"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// testHosts are the hosts of requests in tests; example.com is the one that httptest gives where none is written.
var testHosts = []string{"vinetally.test", "example.com", "example.test"}

var testNow = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

// client sends requests to a handler and fails the test on answers that break what every answer promises.
type client struct {
	testing.TB
	handler http.Handler
}

// undocumented answers what no real store does, and so isn't held against the served description.
type undocumented struct{ http.Handler }

type reply struct {
	status int
	header http.Header
	body   string
}

func newClient(t testing.TB, store Store) *client { t.Helper(); return newClientAt(t, store, testNow) }

// newClientAt is a client of a server whose clock stands at a moment.
func newClientAt(t testing.TB, store Store, now time.Time) *client {
	t.Helper()
	return &client{t, New(Config{Store: store, Now: func() time.Time { return now }, Logger: slog.New(slog.DiscardHandler), Hosts: testHosts})}
}

// do sends a request; headers come in pairs. A body is sent as JSON unless a header says otherwise.
func (c *client) do(method, target, body string, headers ...string) reply {
	c.Helper()
	r := httptest.NewRequest(method, "http://vinetally.test/", strings.NewReader(body))
	path, query, _ := strings.Cut(target, "?")
	r.URL.Path, r.URL.RawQuery = path, query
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	c.handler.ServeHTTP(w, r)
	out := reply{w.Code, w.Header(), w.Body.String()}
	if out.status >= 400 && method != http.MethodHead {
		c.checkProblem(out, method+" "+target)
	}
	if _, ok := c.handler.(undocumented); ok {
		return out
	}
	if err := served().check(method, path, out); err != nil {
		c.Errorf("%s %s: the answer is not what the served description says: %v", method, target, err)
	}
	return out
}

// checkProblem holds an error answer against RFC 9457 section 3.1.
func (c *client) checkProblem(r reply, what string) {
	c.Helper()
	if got := r.header.Get("Content-Type"); got != "application/problem+json" {
		c.Errorf("%s: status %d with Content-Type %q, want application/problem+json", what, r.status, got)
		return
	}
	var p problem
	if err := json.Unmarshal([]byte(r.body), &p); err != nil {
		c.Errorf("%s: problem is not JSON: %v", what, err)
		return
	}
	if p.Status != r.status || p.Title == "" || p.Detail == "" || !strings.HasPrefix(p.Type, "/problems/") {
		c.Errorf("%s: problem %s with status %d lacks type, title, detail or the same status", what, r.body, r.status)
	}
	for _, f := range p.Errors {
		if f.Detail == "" || (f.Pointer == nil) == (f.Parameter == "") && f.Parameter != "" {
			c.Errorf("%s: fault %+v lacks a detail or a place", what, f)
		}
	}
}

// want sends a request and demands a status.
func (c *client) want(status int, method, target, body string, headers ...string) reply {
	c.Helper()
	r := c.do(method, target, body, headers...)
	if r.status != status {
		c.Fatalf("%s %s %s: got status %d, want %d; %s", method, target, body, r.status, status, r.body)
	}
	return r
}

// object reads an answer that is one JSON object.
func (r reply) object(t testing.TB) map[string]any {
	t.Helper()
	var m map[string]any
	if err := json.Unmarshal([]byte(r.body), &m); err != nil {
		t.Fatalf("answer %q is not a JSON object: %v", r.body, err)
	}
	return m
}

func (r reply) items(t testing.TB) []any {
	t.Helper()
	items, ok := r.object(t)["items"].([]any)
	if !ok {
		t.Fatalf("answer %q has no items", r.body)
	}
	return items
}

// warnings are those of an answer to a write, one a line.
func (r reply) warnings(t testing.TB) string {
	t.Helper()
	var all []string
	for _, w := range r.object(t)["warnings"].([]any) {
		all = append(all, w.(string))
	}
	return strings.Join(all, "\n")
}

// pointers lists where a problem says the body is wrong.
func (r reply) pointers(t testing.TB) []string {
	t.Helper()
	var p problem
	if err := json.Unmarshal([]byte(r.body), &p); err != nil {
		t.Fatalf("answer %q is not a problem: %v", r.body, err)
	}
	var all []string
	for _, f := range p.Errors {
		if f.Pointer != nil {
			all = append(all, *f.Pointer)
		}
	}
	return all
}

// add creates a record and returns its id.
func (c *client) add(kind crop.Kind, body string) string {
	c.Helper()
	return c.want(http.StatusCreated, "POST", "/v1/"+string(kind), body).object(c)["id"].(string)
}

// trial is one of everything a record can refer to.
type trial struct{ season, place, scale, cultivar, plant string }

// newTrial stores a balcony in Lisbon with one plant. All names are invented.
func newTrial(c *client) trial {
	c.Helper()
	t := trial{
		season: c.add(crop.Seasons, `{"name": "Winter 2025"}`),
		place:  c.add(crop.Places, `{"name": "balcony", "time_zone": "Europe/Lisbon"}`),
		scale:  c.add(crop.Scales, `{"name": "yellow fruit", "stages": ["green", {"name": "yellow", "description": "all over"}], "ripe_stage": "yellow"}`),
	}
	t.cultivar = c.add(crop.Cultivars, `{"name": "Pip"}`)
	t.plant = c.add(crop.Plants, t.fill(`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "A1", "sown_on": "2025-10-01"}`))
	return t
}

// fill puts the ids in a body.
func (t trial) fill(body string) string {
	return strings.NewReplacer("SEASON", t.season, "PLACE", t.place, "SCALE", t.scale, "CULTIVAR", t.cultivar, "PLANT", t.plant).Replace(body)
}
