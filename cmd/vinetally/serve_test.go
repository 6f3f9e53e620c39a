package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// output is a writer that can be read while it is written.
type output struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.String()
}

// server is the program serving.
type server struct {
	base      string // its address as it printed it
	out, errs *output
	interrupt context.CancelFunc
	ended     chan int
}

var printedAddress = regexp.MustCompile(`(http://127\.0\.0\.1:[1-9]\d*)/`)

// start runs a serving command line at a free port and waits for the address that it prints. The end of the test
// interrupts it, which must be a clean stop.
func start(t *testing.T, args ...string) *server {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	s := &server{out: new(output), errs: new(output), interrupt: cancel, ended: make(chan int, 1)}
	go func() {
		s.ended <- run(ctx, append(args, "--listen", "127.0.0.1:0"), streams{out: s.out, err: s.errs})
	}()
	t.Cleanup(func() { s.wantStop(t) })
	for range 1200 {
		if m := printedAddress.FindStringSubmatch(s.out.String()); m != nil {
			s.base = m[1]
			return s
		}
		select {
		case status := <-s.ended:
			s.ended <- status
			t.Fatalf("vinetally %s: status %d, %s", strings.Join(args, " "), status, s.errs.String())
		case <-time.After(50 * time.Millisecond):
		}
	}
	t.Fatalf("vinetally %s prints no address: %q", strings.Join(args, " "), s.out.String())
	return nil
}

// wantStop interrupts the program and waits for its clean end.
func (s *server) wantStop(t *testing.T) {
	t.Helper()
	s.interrupt()
	select {
	case status := <-s.ended:
		s.ended <- status
		if status != exitDone {
			t.Errorf("interrupted, the program ends with status %d: %s", status, s.errs.String())
		}
	case <-time.After(time.Minute):
		t.Error("interrupted, the program doesn't end")
	}
}

// started is start for tests that need the address alone.
func started(t *testing.T, args ...string) string {
	t.Helper()
	return start(t, args...).base
}

// get is what an address answers, asked again as a browser does where the page says that its forecast isn't there yet.
func get(t *testing.T, url string) (*http.Response, string) {
	t.Helper()
	for range 60 {
		r, err := http.Get(url)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(r.Body)
		_ = r.Body.Close()
		if err != nil {
			t.Fatal(err)
		}
		if r.Header.Get("Refresh") == "" {
			return r, string(body)
		}
		time.Sleep(time.Second)
	}
	t.Fatalf("the forecast of %s never came", url)
	return nil, ""
}

// TestServe stores a season over REST, stops the program and finds the season in the database, which is then one file.
func TestServe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	s := start(t, "serve", "--db", "sqlite:"+path)
	r, err := http.Post(s.base+"/v1/seasons", "application/json", strings.NewReader(`{"name": "Spring"}`))
	if err != nil {
		t.Fatal(err)
	}
	_ = r.Body.Close()
	if r.StatusCode != http.StatusCreated {
		t.Errorf("POST /v1/seasons: status %d", r.StatusCode)
	}
	if r, _ := get(t, s.base+"/nowhere"); r.StatusCode != http.StatusNotFound || r.Header.Get("Content-Type") != "application/problem+json" {
		t.Errorf("GET /nowhere: %d %s", r.StatusCode, r.Header.Get("Content-Type"))
	}
	if !strings.Contains(s.out.String(), path) {
		t.Errorf("it says %q, not which database it serves", s.out.String())
	}
	s.wantStop(t)
	for line := range strings.Lines(s.errs.String()) {
		if !json.Valid([]byte(line)) {
			t.Errorf("log line %q is not JSON", line)
		}
	}
	if r, err := http.Get(s.base + "/healthz"); err == nil {
		_ = r.Body.Close()
		t.Error("after the end it still answers")
	}
	files, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(files) != 1 {
		t.Errorf("the closed database lies in %v (%v), want one file", files, err)
	}
	dir := filepath.Join(t.TempDir(), "out")
	if out := wantDone(t, "export", "--db", "sqlite:"+path, dir); !strings.Contains(out, "seasons.csv: 1 row\n") {
		t.Errorf("the export says %q, want one season", out)
	}
}
