package main

import (
	"html"
	"regexp"
	"strings"
	"testing"
)

// recipes are what the documentation shows, each with a test that takes it from the server and runs it unchanged.
var recipes = map[string]func(*testing.T, *kitchen){
	"start-trial.sh":       startTrial,
	"record-visit.sh":      recordVisit,
	"send-temperatures.sh": sendTemperatures,
	"plants.csv":           importSheets,
	"counts.csv":           importSheets,
	"counts_to_csv.py":     countsToCSV,
	"ripeness.py":          ripenessInPython,
	"correct_count.py":     correctCount,
	"picked.R":             pickedInR,
	"temperatures.R":       temperaturesInR,
	"ripeness.R":           ripenessInR,
}

// TestRecipes runs every recipe of the documentation as the server hands it out, against that server.
func TestRecipes(t *testing.T) {
	db := scratch(t)
	wantDone(t, "import", "--db", db, demoFolder(t))
	base := started(t, "serve", "--db", db)
	_, page := get(t, base+"/docs")
	var listed []string
	for _, m := range regexp.MustCompile(`href="/docs/recipes/([^"]+)"`).FindAllStringSubmatch(page, -1) {
		listed = append(listed, m[1])
	}
	if len(listed) != len(recipes) {
		t.Errorf("the documentation lists %d recipes, and %d have a test", len(listed), len(recipes))
	}
	shown := html.UnescapeString(page)
	for _, file := range listed {
		t.Run(file, func(t *testing.T) {
			k := &kitchen{base, db, t.TempDir()}
			text := strings.ReplaceAll(strings.TrimPrefix(k.fetch(t, file), "\ufeff"), "\r\n", "\n")
			if !strings.Contains(shown, "<code>"+text+"</code>") {
				t.Errorf("the documentation doesn't show %s as it is", file)
			}
			try, ok := recipes[file]
			if !ok {
				t.Fatal("this recipe has no test")
			}
			try(t, k)
		})
	}
}
