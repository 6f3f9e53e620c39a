package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
)

// TestReportOfNothing: a season of which nothing is recorded has a report in every form; that for scripts has the same parts as any other.
func TestReportOfNothing(t *testing.T) {
	db, dir := scratch(t), t.TempDir()
	seasons := filepath.Join(dir, "seasons.csv")
	if err := os.WriteFile(seasons, []byte("season,first_day\nEmpty,2026-01-01\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	wantDone(t, "import", "--db", db, seasons)
	file := filepath.Join(dir, "empty.json")
	for _, form := range [][]string{{"-o", filepath.Join(dir, "empty.html")}, {"--format", "csv", "-o", filepath.Join(dir, "tables")}, {"-o", file}} {
		wantDone(t, append([]string{"report", "--db", db, "--season", "Empty"}, form...)...)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var document struct {
		AsOf    *string  `json:"as_of"`
		RestsOn []string `json:"rests_on"`
		Curves  struct{ Curves []any }
		Yield   struct{ Plants []any }
	}
	if err := json.Unmarshal(text, &document); err != nil {
		t.Fatal(err)
	}
	if document.AsOf != nil || document.Curves.Curves == nil || document.Yield.Plants == nil || len(document.RestsOn) != 1 || document.RestsOn[0] != "Nothing was recorded yet." {
		t.Errorf("got %s", text)
	}
}
