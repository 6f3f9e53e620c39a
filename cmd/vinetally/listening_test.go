package main

import (
	"net/http"
	"os"
	"path/filepath"
	"testing"
)

// TestServeAnswersToItsNames: the address in numbers, the machine's name and the names that were given, and no other.
func TestServeAnswersToItsNames(t *testing.T) {
	base := started(t, "serve", "--db", "sqlite:"+filepath.Join(t.TempDir(), "records.db"), "--host", "garden.example", "--host", "trial.example")
	want := map[string]int{"": 200, "localhost:1": 200, "garden.example": 200, "TRIAL.example:8780": 200, "elsewhere.example": 421}
	if own, err := os.Hostname(); err == nil {
		want[own+":8780"], want[own+".local"] = 200, 200
	}
	for host, status := range want {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, base+"/v1/seasons", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = host
		got, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		_ = got.Body.Close()
		if got.StatusCode != status {
			t.Errorf("Host %q: status %d, want %d", host, got.StatusCode, status)
		}
	}
	for _, name := range []string{"http://garden.example", "*", "a b"} {
		wantRefused(t, exitUsage, []string{"serve", "--host", name}, "--host", name, "garden-pc.example")
	}
}
