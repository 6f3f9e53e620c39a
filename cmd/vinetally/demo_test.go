package main

import (
	"bytes"
	"encoding/csv"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/charts"
)

// demoAnswerFile holds what the demo says about its season. The README shows it; read it when it changes.
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
	if now := time.Now(); now.After(time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC)) { // after the demo's own days
		// An interval in brackets may end on any day; nothing else in the report is later than its season.
		outside := regexp.MustCompile(`\([^()]*\)`).ReplaceAll(report, nil)
		for _, layout := range []string{"2006-01-02", "2 Jan 2006", "2 January 2006"} {
			if today := now.Format(layout); bytes.Contains(outside, []byte(today)) {
				t.Errorf("the report holds the day of its making, %s", today)
			}
		}
	}
	for _, words := range []string{"These records are invented", "Unplug pump", "Never mix bleach"} {
		if !bytes.Contains(report, []byte(words)) {
			t.Errorf("the report doesn't say %q", words)
		}
	}
}

// TestReadmeForecast: what the README shows of a forecast is what the report of that day says.
func TestReadmeForecast(t *testing.T) {
	db := scratch(t)
	wantDone(t, "import", "--db", db, demoFolder(t))
	dir := t.TempDir()
	wantDone(t, "report", "--db", db, "--season", "Winter 2026 (invented)", "--as-of", "2026-01-02", "--format", "csv", "-o", filepath.Join(dir, "tables"))
	wantDone(t, "report", "--db", db, "--season", "Winter 2026 (invented)", "--as-of", "2026-01-02", "-o", filepath.Join(dir, "winter.html"))
	file, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	readme := strings.Join(strings.Fields(string(file)), " ")
	page, err := os.ReadFile(filepath.Join(dir, "winter.html"))
	if err != nil {
		t.Fatal(err)
	}
	sentence := regexp.MustCompile(`<p class="sentence" dir="auto">(By [^<]*)\.</p>`).FindSubmatch(page)
	if sentence == nil || !strings.Contains(readme, "“"+string(sentence[1])+"”") {
		t.Errorf("the README doesn't show the forecast's sentence, %q", sentence)
	}
	all := regexp.MustCompile(`>(In all about [^<]*) Fruit that is yet to set`).FindSubmatch(page)
	if all == nil || !strings.Contains(readme, "“"+strings.ReplaceAll(string(all[1]), "&#39;", "'")+"”") {
		t.Errorf("the README doesn't show how much is to come, %q", all)
	}
	table, err := os.Open(filepath.Join(dir, "tables", "picking-plan.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer table.Close()
	rows, err := csv.NewReader(table).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("the plan has %d rows, %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		row[3] += " fruit"
		if want := "| " + strings.Join(slices.Delete(row, 2, 3), " | ") + " |"; !strings.Contains(readme, want) {
			t.Errorf("the README doesn't show the plan's row\n%s", want)
		}
	}
}

func TestDemoServes(t *testing.T) {
	base := started(t, "demo", "--dir", t.TempDir())
	_, index := get(t, base+"/")
	if !strings.Contains(index, "Picking days") {
		t.Error("the first page doesn't show what to pick on a day")
	}
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
		"/v1" + strings.TrimPrefix(plant, "/reports") + "/ledger": "application/json",
	} {
		r, body := get(t, base+path)
		if r.StatusCode != http.StatusOK || !strings.HasPrefix(r.Header.Get("Content-Type"), contentType) || body == "" {
			t.Errorf("GET %s: %d %s, %d bytes; want 200 %s", path, r.StatusCode, r.Header.Get("Content-Type"), len(body), contentType)
		}
		if contentType == "application/json" && r.Header.Get("Content-Security-Policy") != "default-src 'none'; frame-ancestors 'none'" {
			t.Errorf("GET %s: policy %q", path, r.Header.Get("Content-Security-Policy"))
		}
		if contentType == "text/html" && !strings.Contains(body, demoInvented) {
			t.Errorf("GET %s doesn't say that the records are invented", path)
		}
		if contentType == "text/html" && r.Header.Get("Content-Security-Policy") != charts.ServedCSP {
			t.Errorf("GET %s: policy %q", path, r.Header.Get("Content-Security-Policy"))
		}
	}
}
