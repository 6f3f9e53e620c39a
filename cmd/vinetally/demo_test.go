package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"vinetally/charts"
)

// demoAnswer is what the demo says about its season. The README shows it; read it when it changes.
const demoAnswerFile = "testdata/demo-answer.txt"

func TestDemoOnce(t *testing.T) {
	dir := t.TempDir()
	out := wantDone(t, "demo", "--once", "--dir", dir)
	answer, _, _ := strings.Cut(out, "\nThe report:")
	want, err := os.ReadFile(demoAnswerFile)
	if err != nil {
		t.Fatal(err)
	}
	if answer != string(want) {
		t.Errorf("the demo says\n%s\nwant\n%s", answer, want)
	}
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(readme), strings.TrimSpace(answer)) {
		t.Error("the README shows another answer than the demo gives")
	}
	report, err := os.ReadFile(filepath.Join(dir, "report.html"))
	if err != nil {
		t.Fatal(err)
	}
	if len(report) > 1_500_000 {
		t.Errorf("the report has %d bytes, want at most 1.5 MB", len(report))
	}
	other := t.TempDir()
	wantDone(t, "demo", "--once", "--dir", other)
	again, err := os.ReadFile(filepath.Join(other, "report.html"))
	if err != nil || !bytes.Equal(report, again) {
		t.Errorf("a second run writes another report (%v)", err)
	}
	if id := regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-`).Find(report); id != nil {
		t.Errorf("the report holds the id %s", id)
	}
	for _, words := range []string{"These records are invented", "Unplug pump", "Never mix bleach"} {
		if !bytes.Contains(report, []byte(words)) {
			t.Errorf("the report doesn't say %q", words)
		}
	}
}

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

// serveDemo starts the demo and returns its address; the program is interrupted at the end of the test.
func serveDemo(t *testing.T) string {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	var out, errs output
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"demo", "--dir", t.TempDir(), "--listen", "127.0.0.1:0"}, streams{&out, &errs})
	}()
	t.Cleanup(func() {
		cancel()
		if status := <-ended; status != exitDone {
			t.Errorf("the demo ended with status %d: %s", status, errs.String())
		}
	})
	address := regexp.MustCompile(`Open (http://127\.0\.0\.1:\d+)/`)
	for range 600 {
		if m := address.FindStringSubmatch(out.String()); m != nil {
			return m[1]
		}
		select {
		case status := <-ended:
			ended <- status
			t.Fatalf("the demo ended with status %d: %s", status, errs.String())
		case <-time.After(50 * time.Millisecond):
		}
	}
	t.Fatalf("the demo prints no address: %q", out.String())
	return ""
}

func get(t *testing.T, url string) (*http.Response, string) {
	t.Helper()
	r, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r, string(body)
}

func TestDemoServes(t *testing.T) {
	base := serveDemo(t)
	_, index := get(t, base+"/")
	season := regexp.MustCompile(`/reports/seasons/[0-9a-f-]{36}`).FindString(index)
	if season == "" {
		t.Fatalf("the index leads to no season: %s", index)
	}
	_, page := get(t, base+season)
	plant := regexp.MustCompile(`/reports/plants/[0-9a-f-]{36}`).FindString(page)
	asset := regexp.MustCompile(`/assets/[^"]+\.js`).FindString(page)
	id := strings.TrimPrefix(season, "/reports/seasons/")
	for path, contentType := range map[string]string{
		"/": "text/html", season: "text/html", plant: "text/html", asset: "text/javascript",
		"/healthz": "application/json", "/readyz": "application/json", "/v1/seasons": "application/json",
		"/v1/seasons/" + id + "/curves": "application/json", "/v1/seasons/" + id + "/past-ripe": "application/json",
	} {
		r, body := get(t, base+path)
		if r.StatusCode != http.StatusOK || !strings.HasPrefix(r.Header.Get("Content-Type"), contentType) || body == "" {
			t.Errorf("GET %s: %d %s, %d bytes; want 200 %s", path, r.StatusCode, r.Header.Get("Content-Type"), len(body), contentType)
		}
		if contentType == "text/html" && r.Header.Get("Content-Security-Policy") != charts.ServedCSP {
			t.Errorf("GET %s: policy %q", path, r.Header.Get("Content-Security-Policy"))
		}
	}
}
