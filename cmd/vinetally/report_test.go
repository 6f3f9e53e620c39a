package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestReportOptions checks what a report says of itself under its options.
func TestReportOptions(t *testing.T) {
	db := scratch(t)
	wantDone(t, "import", "--db", db, demoFolder(t))
	for name, c := range map[string]struct {
		args []string
		want []string
	}{
		"as it ended": {nil, []string{"As of 26 Oct 2026, 20:30 WET", "their hold time"}},
		// The balcony's clock is an hour ahead of UTC in summer.
		"as of a moment":                   {[]string{"--as-of", "2026-09-05T12:00:00+01:00"}, []string{"As of 5 Sep 2026, 12:00 WEST"}},
		"as of the end of a day":           {[]string{"--as-of", "2026-09-05"}, []string{"As of 6 Sep 2026, 00:59 WEST"}},
		"as of the end of a day in winter": {[]string{"--as-of", "2026-10-26"}, []string{"As of 26 Oct 2026, 23:59 WET"}},
		"before the first record":          {[]string{"--as-of", "2026-01-01"}, []string{"Nothing has been counted or picked yet"}},
		"one hold time":                    {[]string{"--hold-days", "3.5"}, []string{"hung ripe for longer than 3.5 days"}},
	} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "report.html")
			args := append([]string{"report", "--db", db, "--season", "Autumn 2026 (invented)", "-o", file}, c.args...)
			if out := wantDone(t, args...); !strings.Contains(out, file) {
				t.Errorf("it says %q, not where the report is", out)
			}
			page, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, words := range c.want {
				if !strings.Contains(string(page), words) {
					t.Errorf("the report doesn't say %q", words)
				}
			}
			if left, err := os.ReadDir(filepath.Dir(file)); err != nil || len(left) != 1 {
				t.Errorf("beside the report lies %v (%v)", left, err)
			}
		})
	}
}

// TestReportReplacesItself checks that a report may be written over an older one.
func TestReportReplacesItself(t *testing.T) {
	db, file := scratch(t), filepath.Join(t.TempDir(), "report.html")
	wantDone(t, "import", "--db", db, folder(t, map[string]string{"plants.csv": onePlant}))
	for range 2 {
		wantDone(t, "report", "--db", db, "--season", "Spring", "-o", file)
	}
	page, err := os.ReadFile(file)
	if err != nil || !strings.HasSuffix(strings.TrimSpace(string(page)), "</html>") {
		t.Errorf("the report is not whole (%v)", err)
	}
}
