package main

import (
	"encoding/csv"
	"encoding/json"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"vinetally/analytics/report"
)

// TestReportForms checks that page, JSON and tables of one report say the same.
func TestReportForms(t *testing.T) {
	db, dir := scratch(t), t.TempDir()
	wantDone(t, "import", "--db", db, demoFolder(t))
	write := func(out string, more ...string) string {
		out = filepath.Join(dir, out)
		wantDone(t, append([]string{"report", "--db", db, "--season", "Autumn 2026 (invented)", "-o", out}, more...)...)
		return out
	}
	read := func(file string) string {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	page := html.UnescapeString(read(write("report.html")))
	var document struct {
		Season string
		Answer []string
		Yield  struct {
			Plants []struct {
				Plant        string
				FruitsPicked int `json:"fruits_picked"`
			}
		}
		Waste struct {
			Season struct{ Wasted, Ripened int }
		}
		PastRipe struct {
			Season struct{ Certain int }
		} `json:"past_ripe"`
		Curves struct {
			Clock  struct{ Kind string }
			Curves []struct {
				Scope, Cultivar, Stage string
				T50                    *struct{ Days float64 }
			}
		}
		Germination map[string]any
		Methods     string
		Works       []string
	}
	text := read(write("report.json"))
	if err := json.Unmarshal([]byte(text), &document); err != nil {
		t.Fatal(err)
	}
	for _, sentence := range document.Answer {
		if !strings.Contains(page, sentence) {
			t.Errorf("the page doesn't say %q", sentence)
		}
	}
	picked := map[string]string{}
	folder := write("tables", "--format", "csv")
	rows, err := csv.NewReader(strings.NewReader(read(filepath.Join(folder, "plants.csv")))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		picked[row[0]] = row[6]
	}
	if rows[0][6] != "Picked (fruit)" || len(document.Yield.Plants) != len(rows)-1 {
		t.Fatalf("the table has %d plants under %q, the JSON %d", len(rows)-1, rows[0], len(document.Yield.Plants))
	}
	for _, p := range document.Yield.Plants {
		if picked[p.Plant] != itoa(p.FruitsPicked) {
			t.Errorf("%s: %d picked in JSON, %s in the table", p.Plant, p.FruitsPicked, picked[p.Plant])
		}
	}
	w := document.Waste.Season
	if want := "Of the " + itoa(w.Ripened) + " fruit that ripened, " + itoa(w.Wasted) + " ("; !strings.Contains(page, want) {
		t.Errorf("the page doesn't say %q", want)
	}
	if want := "At least " + itoa(document.PastRipe.Season.Certain) + " fruit have hung"; !strings.Contains(page, want) {
		t.Errorf("the page doesn't say %q", want)
	}
	halves := 0
	for _, c := range document.Curves.Curves {
		if c.Scope != "cultivar" || c.T50 == nil || !strings.Contains(page, "Of the fruit of "+c.Cultivar+" that ripened, half had reached "+c.Stage) {
			continue
		}
		halves++
		if want := ", " + report.Days(c.T50.Days) + " days after "; !strings.Contains(page, want) {
			t.Errorf("%s: the page doesn't say %q", c.Cultivar, want)
		}
	}
	if halves != 2 || document.Curves.Clock.Kind != "thermal" {
		t.Errorf("%d cultivars' halves compared, on the %s clock; want 2, on the thermal one", halves, document.Curves.Clock.Kind)
	}
	if len(document.Works) < 4 {
		t.Errorf("the methods cite %d works, want 4 or more", len(document.Works))
	}
	for _, text := range append(document.Works, document.Methods) {
		if !strings.Contains(page, text) {
			t.Errorf("the page's methods don't say %q", text)
		}
	}
	if document.Germination == nil || document.Season != "Autumn 2026 (invented)" {
		t.Error("the JSON lacks a part")
	}
	if again := read(write("again.json")); again != text {
		t.Error("a second run writes other JSON")
	}
	plant := read(write("b2.html", "--plant", "B2"))
	if !strings.Contains(plant, "Plant report: B2") || !strings.Contains(plant, "BBCH") {
		t.Error("the plant's report isn't of B2, or has no growth stage")
	}
}

// TestPlantJSON: a plant's JSON has the ledger, and of the season's answers what is of the plant and nothing of others. Its page says the same.
func TestPlantJSON(t *testing.T) {
	db, dir := scratch(t), t.TempDir()
	wantDone(t, "import", "--db", db, demoFolder(t))
	write := func(out string, more ...string) string {
		wantDone(t, append([]string{"report", "--db", db, "--season", "Autumn 2026 (invented)", "--plant", "U1", "-o", filepath.Join(dir, out)}, more...)...)
		b, err := os.ReadFile(filepath.Join(dir, out))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	type part struct {
		Cultivars, Season any
		Plants            []struct {
			Plant        string
			FruitsPicked int `json:"fruits_picked"`
			Value        *float64
		}
		Curves []struct {
			Plant, Stage string
			T50          *struct{ Days float64 }
		}
	}
	var document struct {
		Plant                             string
		Ledger                            struct{ Visits []any }
		Curves, Yield, Waste, Germination *part
		PastRipe                          *part `json:"past_ripe"`
		Fit                               *part
	}
	text := write("u1.json", "--price-per-kg", "6")
	if err := json.Unmarshal([]byte(text), &document); err != nil {
		t.Fatal(err)
	}
	if document.Plant != "U1" || len(document.Ledger.Visits) != 29 || document.Germination != nil {
		t.Errorf("plant %q with %d visits; want U1 with 29, and no lots", document.Plant, len(document.Ledger.Visits))
	}
	for name, p := range map[string]*part{"yield": document.Yield, "waste": document.Waste, "past_ripe": document.PastRipe, "fit": document.Fit} {
		if p == nil || len(p.Plants) != 1 || p.Plants[0].Plant != "U1" || p.Cultivars != nil || p.Season != nil {
			t.Errorf("%s: got %+v, want U1 alone", name, p)
		}
	}
	own := document.Yield.Plants[0]
	if own.FruitsPicked != 48 || own.Value == nil {
		t.Errorf("yield: %+v", own)
	}
	page := html.UnescapeString(write("u1.html", "--price-per-kg", "6"))
	if want := "At 6 a kilogram the marketable fruit is worth " + report.Money(*own.Value); !strings.Contains(page, want) {
		t.Errorf("the page doesn't say %q", want)
	}
	for _, c := range document.Curves.Curves { // in its column days have one decimal, since most need it: 83.0 stands below 50.3
		if c.Plant != "U1" || c.T50 != nil && !strings.Contains(page, ">"+report.Rounded(c.T50.Days, 1)+"<") {
			t.Errorf("the curve of %s of %s has t50 %v, which the page doesn't", c.Stage, c.Plant, c.T50)
		}
	}
	if len(document.Curves.Curves) == 0 {
		t.Error("U1 has no curve")
	}
}

func itoa(n int) string {
	b, _ := json.Marshal(n)
	return string(b)
}

// TestReportOfARange: 5 to 15 September by the demo's own files.
func TestReportOfARange(t *testing.T) {
	db := scratch(t)
	wantDone(t, "import", "--db", db, demoFolder(t))
	sum := func(file, at string) (fruits int) {
		for _, row := range demoRows(t, file, "Autumn 2026 (invented)") {
			if day := row[at][:10]; day >= "2026-09-05" && day <= "2026-09-15" {
				var n int
				if err := json.Unmarshal([]byte(row["fruits"]), &n); err != nil {
					t.Fatal(err)
				}
				fruits += n
			}
		}
		return fruits
	}
	want := "5 – 15 Sep 2026: " + itoa(sum("pickings.csv", "picked_at")) + " fruit were picked and " + itoa(sum("losses.csv", "lost_at")) + " lost or cleared."
	out := wantDone(t, "report", "--db", db, "--season", "Autumn 2026 (invented)", "--from", "2026-09-05", "--to", "2026-09-15", "-o", "-")
	if !strings.Contains(out, want) || !strings.Contains(out, "As of 15 Sep 2026, 23:59") || strings.Contains(out, "26 Oct 2026") {
		t.Errorf("the report doesn't say %q as of 15 September", want)
	}
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"--from", "2026-10-01", "--to", "2026-09-15"}, "--from 2026-10-01 is after the day"},
		{[]string{"--to", "2026-09-15", "--as-of", "2026-09-15"}, "give one of them"},
		{[]string{"--from", "5.9.2026"}, "--from"},
		{[]string{"--plant", "Z9"}, `its plants are "B1"`},
		{[]string{"--format", "csv"}, "name a folder with -o"},
	} {
		args := append([]string{"report", "--db", db, "--season", "Autumn 2026 (invented)", "-o", "-"}, c.args...)
		if status, _, errs := program(t, args...); status != exitRefused || !strings.Contains(errs, c.says) {
			t.Errorf("%v: status %d, %q; want %q", c.args, status, errs, c.says)
		}
	}
}
