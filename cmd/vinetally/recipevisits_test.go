package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func startTrial(t *testing.T, k *kitchen) {
	needsPrograms(t, "sh", "curl")
	first := k.run(t, "", "sh", "start-trial.sh")
	again := k.run(t, "", "sh", "start-trial.sh")
	if strings.Count(first, `"effect":"created"`) != 7 || strings.Count(again, `"effect":"unchanged"`) != 7 {
		t.Errorf("seven records aren't made once and left alone then:\n%s%s", first, again)
	}
	for line := range strings.Lines(k.read(t, "plants.txt")) {
		label, id, _ := strings.Cut(strings.TrimSpace(line), " ")
		if got := answer[struct{ Label string }](t, k.base+"/v1/plants/"+id).Label; got != label {
			t.Errorf("the plant of %q has the label %q", line, got)
		}
	}
}

func recordVisit(t *testing.T, k *kitchen) {
	needsPrograms(t, "sh", "curl")
	k = &kitchen{base: started(t, "serve", "--db", scratch(t)), dir: k.dir} // its trial has the names of start-trial.sh's
	k.fetch(t, "start-trial.sh")
	k.run(t, "", "sh", "start-trial.sh")
	labels := map[string]string{}
	for line := range strings.Lines(k.read(t, "plants.txt")) {
		label, id, _ := strings.Cut(strings.TrimSpace(line), " ")
		labels[id] = label
	}

	away := &kitchen{base: "http://127.0.0.1:1", dir: k.dir} // nobody listens at port 1
	out, err := away.try(t, "12 3 1 2\n9 4 0\n9 4 o 1\n9 4 0 1 1\n* * * *\n9 4 0 1\n\n7 - - 0\n", "sh", "record-visit.sh")
	if err == nil || strings.Count(out, "four whole numbers") != 4 || !strings.Contains(out, "is kept") {
		t.Fatalf("without a server, and with four slips: %v\n%s", err, out)
	}
	wantCounts := func() {
		t.Helper()
		got := map[string]string{}
		for id, label := range labels {
			for _, c := range answer[page[storedCount]](t, k.base+"/v1/counts?plant_id="+id).Items {
				got[label] += c.String()
				if c.Version != 1 || c.RecordedBy != "Ana" {
					t.Errorf("the count of %s has version %d and is by %q", label, c.Version, c.RecordedBy)
				}
			}
		}
		want := map[string]string{"A1": "green 12, breaker 3, turning 1, red 2", "A2": "green 9, breaker 4, turning 0, red 1", "A4": "green 7, red 0"}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("stored %v, want %v", got, want)
		}
	}
	k.run(t, "", "sh", "record-visit.sh", "send")
	wantCounts()
	sent, err := filepath.Glob(filepath.Join(k.dir, "sent-visit-*.json"))
	if err != nil || len(sent) != 1 {
		t.Fatalf("sent visits: %v, %v", sent, err)
	}
	if err := os.Rename(sent[0], strings.Replace(sent[0], "sent-", "", 1)); err != nil { // as if the answer had been lost
		t.Fatal(err)
	}
	if again := k.run(t, "", "sh", "record-visit.sh", "send"); strings.Count(again, `"effect":"unchanged"`) != 3 {
		t.Errorf("sent again, it says %s", again)
	}
	wantCounts()
}

func correctCount(t *testing.T, k *kitchen) {
	needsPrograms(t, "python3")
	whole := func(id string) map[string]any { return answer[map[string]any](t, k.base+"/v1/counts/"+id) }
	c := answer[page[storedCount]](t, k.base+"/v1/counts?limit=1").Items[0]
	wantLine(t, k.run(t, "", "python3", "correct_count.py", c.ID, "green", "77"), fmt.Sprintf("green: %d is now 77, version 2", c.Counts["green"]))
	if got := answer[storedCount](t, k.base+"/v1/counts/"+c.ID); got.Counts["green"] != 77 || got.Version != 2 {
		t.Errorf("stored is %v", got)
	}
	if out, err := k.try(t, "", "python3", "correct_count.py", c.ID, "violet", "3"); err == nil || !strings.Contains(out, "violet") {
		t.Errorf("of a stage that isn't on the scale: %v\n%s", err, out)
	}

	other := &kitchen{dir: k.dir, base: k.somebodyElse(t, func() {
		record := whole(c.ID)
		record["note"] = "counted again"
		put(t, k.base+"/v1/counts/"+c.ID, record)
	})}
	out, err := other.try(t, "", "python3", "correct_count.py", c.ID, "green", "5")
	if err == nil || !strings.Contains(out, "not the one the request was made for") {
		t.Errorf("when somebody else edits the count meanwhile: %v\n%s", err, out)
	}
	if got := whole(c.ID); got["note"] != "counted again" || got["counts"].(map[string]any)["green"] != 77.0 {
		t.Errorf("the other edit is undone: %v", got)
	}
}

type storedCount struct {
	ID         string         `json:"id"`
	PlantID    string         `json:"plant_id"`
	CountedAt  string         `json:"counted_at"`
	Counts     map[string]int `json:"counts"`
	Version    int            `json:"version"`
	RecordedBy string         `json:"recorded_by"`
}

func (c storedCount) String() string {
	var all []string
	for _, stage := range []string{"green", "breaker", "turning", "red"} {
		if n, ok := c.Counts[stage]; ok {
			all = append(all, fmt.Sprint(stage, " ", n))
		}
	}
	return strings.Join(all, ", ")
}

// somebodyElse is a way to the server on which another person edits each count between its reading and its edit.
func (k *kitchen) somebodyElse(t *testing.T, edit func()) string {
	t.Helper()
	target, err := url.Parse(k.base)
	if err != nil {
		t.Fatal(err)
	}
	proxy := &httputil.ReverseProxy{Rewrite: func(r *httputil.ProxyRequest) { r.SetURL(target) }}
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPut {
			edit()
		}
		proxy.ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)
	return s.URL
}

// put sends a record and demands that it is stored.
func put(t *testing.T, url string, record any) {
	t.Helper()
	body, err := json.Marshal(record)
	if err != nil {
		t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPut, url, bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	w, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Body.Close()
	if said, _ := io.ReadAll(w.Body); w.StatusCode != http.StatusOK {
		t.Fatalf("PUT %s: status %d: %s", url, w.StatusCode, said)
	}
}
