package api

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"net/http"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// logged sends requests to a server whose log can be read.
func logged(t *testing.T, store Store) (*client, func() []map[string]any) {
	var log bytes.Buffer
	h := New(Config{Store: store, Logger: slog.New(slog.NewJSONHandler(&log, nil)), Ping: func(context.Context) error { return store.(*memory).fail }, Hosts: testHosts})
	return &client{t, h}, func() []map[string]any {
		var lines []map[string]any
		for line := range strings.Lines(log.String()) {
			var m map[string]any
			if err := json.Unmarshal([]byte(line), &m); err != nil {
				t.Fatalf("log line %q: %v", line, err)
			}
			lines = append(lines, m)
		}
		log.Reset()
		return lines
	}
}

func TestAccessLog(t *testing.T) {
	c, lines := logged(t, newMemory())
	const id = "0198b2c4-0000-7000-8000-000000000001"
	for _, tc := range []struct {
		name, target, sent string
		kept               bool
		route              string
	}{
		{"caller's id", "/v1/plants/" + id, "phone-7.b_2", true, "/v1/plants/:id"},
		{"no id", "/v1/plants/" + id, "", false, "/v1/plants/:id"},
		{"id with a line break", "/healthz", "a\nlevel=ERROR", false, "/healthz"},
		{"id too long", "/healthz", strings.Repeat("a", 65), false, "/healthz"},
		{"no route", "/nothing?secret=1", "x", true, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r := c.do("GET", tc.target, "", "X-Request-Id", tc.sent)
			got := r.header.Get("X-Request-Id")
			if (got == tc.sent) != tc.kept || got == "" {
				t.Errorf("X-Request-Id: sent %q, got %q, kept should be %t", tc.sent, got, tc.kept)
			}
			all := lines()
			if len(all) != 1 {
				t.Fatalf("got %d log lines, want 1: %v", len(all), all)
			}
			l := all[0]
			if l["request_id"] != got || l["route"] != tc.route || l["status"] != float64(r.status) || l["method"] != "GET" {
				t.Errorf("log line %v doesn't match the answer %d %q", l, r.status, got)
			}
			if strings.Contains(strings.Join(strings.Fields(stringOf(l)), ""), "secret") {
				t.Errorf("log line %v holds the query", l)
			}
		})
	}
}

func stringOf(m map[string]any) string { b, _ := json.Marshal(m); return string(b) }

func TestStoreFailures(t *testing.T) {
	store := newMemory()
	c, lines := logged(t, store)
	for _, tc := range []struct {
		name   string
		fail   error
		status int
		retry  string
		secret string
	}{
		{"unforeseen", errors.New("disk at /var/secret is full"), 500, "", "secret"},
		{"busy", crop.Errorf(crop.Busy, "another write is going on"), 503, "2", ""},
		{"too slow", context.DeadlineExceeded, 503, "2", ""},
		{"a code that isn't known", crop.Errorf("strange", "secret words"), 500, "", "secret"},
		{"no room", crop.Errorf(crop.Full, "disk full: free some space"), 507, "", ""},
		{"too little recorded", crop.Errorf(crop.InsufficientData, "two visits are too few"), 422, "", ""},
		{"conflict", &crop.Error{Code: crop.Conflict, Message: "3 plants refer to it"}, 409, "", ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			c := &client{t, c.handler}
			if tc.status < 500 {
				c.handler = undocumented{c.handler}
			}
			store.fail = tc.fail
			const at = "/v1/seasons/0198b2c4-0000-7000-8000-000000000001"
			for _, send := range [][]string{
				{"GET", "/v1/seasons", ""}, {"GET", at, ""}, {"GET", at + "/history", ""}, {"POST", "/v1/seasons", `{"name": "x"}`},
				{"PUT", at, `{"name": "x"}`}, {"DELETE", at, ""}, {"PUT", at, `{"name": "x"}`, "If-Match", "*"},
			} {
				if tc.status == 507 && send[0] == "GET" {
					continue // reading needs no room
				}
				r := c.want(tc.status, send[0], send[1], send[2], send[3:]...)
				if got := r.header.Get("Retry-After"); got != tc.retry {
					t.Errorf("Retry-After: got %q, want %q", got, tc.retry)
				}
				if tc.secret != "" && strings.Contains(r.body, tc.secret) {
					t.Errorf("answer shows the inside: %s", r.body)
				}
				var p problem
				if err := json.Unmarshal([]byte(r.body), &p); err != nil {
					t.Fatal(err)
				}
				log := lines()
				if tc.status < 500 {
					continue
				}
				level := "ERROR"
				if tc.status == 503 {
					level = "WARN"
				}
				for _, line := range log {
					if line["level"] != level {
						t.Errorf("the log says %v, want level %s", line, level)
					}
				}
				if p.Reference == "" || len(log) != 2 || log[0]["request_id"] != p.Reference || !strings.Contains(stringOf(log[0]), tc.secret) {
					t.Errorf("reference %q doesn't lead to the reason in the log %v", p.Reference, log)
				}
			}
		})
	}
}

func TestHealth(t *testing.T) {
	store := newMemory()
	c, _ := logged(t, store)
	c.want(200, "GET", "/healthz", "")
	c.want(200, "GET", "/readyz", "")
	store.fail = errors.New("gone")
	c.want(200, "GET", "/healthz", "")
	c.want(503, "GET", "/readyz", "")
}

// panicky panics when asked for a record.
type panicky struct{ *memory }

func (panicky) Get(context.Context, crop.Kind, crop.ID) (crop.Stored, error) { panic("secret inside") }

func TestPanicBecomesAProblem(t *testing.T) {
	var log bytes.Buffer
	c := &client{t, New(Config{Store: panicky{newMemory()}, Logger: slog.New(slog.NewJSONHandler(&log, nil)), Hosts: testHosts})}
	r := c.want(500, "GET", "/v1/seasons/0198b2c4-0000-7000-8000-000000000001", "", "X-Request-Id", "ref-1", "Accept-Encoding", "gzip")
	if strings.Contains(r.body, "secret") || r.object(t)["reference"] != "ref-1" {
		t.Errorf("answer %s: want the reference and no inside", r.body)
	}
	if !strings.Contains(log.String(), "secret inside") || !strings.Contains(log.String(), "observe_test.go") || !strings.Contains(log.String(), "ref-1") {
		t.Errorf("log %s: want the panic, its stack and the reference", log.String())
	}
	c.want(http.StatusOK, "GET", "/v1/seasons", "")
}
