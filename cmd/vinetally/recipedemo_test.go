package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

func countsToCSV(t *testing.T, k *kitchen) {
	needsPrograms(t, "python3")
	k.run(t, "", "python3", "counts_to_csv.py", autumn, "out.csv")
	text := k.read(t, "out.csv")
	got := rowsOf(t, strings.NewReader(text), func(map[string]string) bool { return true })
	tally := func(rows []map[string]string) map[string]int {
		sums := map[string]int{"rows": len(rows)}
		for _, row := range rows {
			for _, stage := range []string{"green", "breaker", "turning", "red", "orange"} {
				if row[stage] != "" {
					sums[row["plant"]+" "+stage+" cells"]++
					var n int
					_, _ = fmt.Sscan(row[stage], &n)
					sums[row["plant"]+" "+stage] += n
				}
			}
		}
		return sums
	}
	want := tally(demoRows(t, "counts.csv", autumn))
	if want["rows"] < 201 {
		t.Fatalf("the demo has %d counts, too few for a second page", want["rows"])
	}
	sums := tally(got)
	for what, n := range want {
		if sums[what] != n {
			t.Errorf("%s: the file has %d, want %d", what, sums[what], n)
		}
	}
	if len(sums) != len(want) {
		t.Errorf("the file has %d sums, want %d", len(sums), len(want))
	}
	if header, _, _ := strings.Cut(text, "\r\n"); !strings.HasPrefix(header, "plant,counted_at,green,breaker,turning,") {
		t.Errorf("the columns are %s", header)
	}
	if out, err := k.try(t, "", "python3", "counts_to_csv.py", "Spring", "out.csv"); err == nil || !strings.Contains(out, autumn) {
		t.Errorf("of a season that isn't there: %v\n%s", err, out)
	}
}

func pickedInR(t *testing.T, k *kitchen) {
	needsR(t)
	wantDone(t, "export", "--db", k.db, filepath.Join(k.dir, "my-season"))
	out := k.run(t, "", "Rscript", "picked.R", "my-season")
	cultivars := map[string]string{}
	for _, row := range demoRows(t, "plants.csv", autumn) {
		cultivars[row["plant"]] = row["cultivar"]
	}
	type sum struct {
		fruits int
		mass   float64
		first  string
	}
	sums := map[string]*sum{}
	for _, row := range demoRows(t, "pickings.csv", autumn) {
		cultivar := cultivars[row["plant"]]
		if cultivar == "" {
			continue
		}
		if sums[cultivar] == nil {
			sums[cultivar] = &sum{first: "9"}
		}
		var n int
		var g float64
		_, _ = fmt.Sscan(row["fruits"], &n)
		_, _ = fmt.Sscan(row["mass_g"], &g)
		s := sums[cultivar]
		s.fruits, s.mass, s.first = s.fruits+n, s.mass+g, min(s.first, row["picked_at"][:10])
	}
	if len(sums) != 3 {
		t.Fatalf("the demo's pickings are of %d cultivars", len(sums))
	}
	for cultivar, s := range sums {
		wantLine(t, out, autumn, cultivar, fmt.Sprint(" ", s.fruits, " "), fmt.Sprint(s.mass, " "), s.first)
	}
}

func ripenessInPython(t *testing.T, k *kitchen) {
	needsPrograms(t, "python3")
	out := k.run(t, "", "python3", "ripeness.py", autumn)
	for _, half := range demoHalves(t) {
		wantLine(t, out, half[:]...)
	}
	wantLine(t, out, "Brambury", "red", "no curve: The counts show two flushes of red")
	wantPastRipe(t, k, func(plant string, certain int) {
		wantLine(t, out, plant, fmt.Sprint(certain))
	})
}

func ripenessInR(t *testing.T, k *kitchen) {
	needsR(t, "httr2", "jsonlite")
	out := k.run(t, "", "Rscript", "ripeness.R", autumn)
	wantLine(t, out, fmt.Sprint(len(demoRows(t, "counts.csv", autumn)), " counts"))
	for _, half := range demoHalves(t) {
		wantLine(t, out, half[:]...)
	}
	wantLine(t, out, "Brambury red no curve: The counts show two flushes of red")
	wantPastRipe(t, k, func(plant string, certain int) {
		wantLine(t, out, plant, fmt.Sprint(certain))
	})
}

// wantPastRipe asks the server for the plants with fruit past ripe.
func wantPastRipe(t *testing.T, k *kitchen, want func(plant string, certain int)) {
	t.Helper()
	type named struct{ ID, Name string }
	for _, season := range answer[page[named]](t, k.base+"/v1/seasons").Items {
		if season.Name != autumn {
			continue
		}
		for _, p := range answer[struct {
			Plants []struct {
				Plant   string
				Certain int
			}
		}](t, k.base+"/v1/seasons/"+season.ID+"/past-ripe").Plants {
			if p.Certain > 0 {
				want(p.Plant, p.Certain)
			}
		}
	}
}

const autumn = "Autumn 2026 (invented)"

// demoRows are the rows of a file of the demo trial, by the names of its columns.
func demoRows(t *testing.T, file, season string) (rows []map[string]string) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "demo", file))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	return rowsOf(t, f, func(row map[string]string) bool { return row["season"] == season })
}

func rowsOf(t *testing.T, file io.Reader, want func(map[string]string) bool) (rows []map[string]string) {
	t.Helper()
	all, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, cells := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = cells[i]
		}
		if want(row) {
			rows = append(rows, row)
		}
	}
	return rows
}

// demoHalves are the days by which the demo's report says that half of a cultivar's fruit had reached a stage, as
// cultivar, stage, date and days from sowing.
func demoHalves(t *testing.T) (halves [][4]string) {
	t.Helper()
	text := strings.Join(report.Of(demoseasons.Load(t)[demoSeason], report.Options{}).Ripened(), "\n")
	for _, m := range regexp.MustCompile(`fruit of (\w+) that ripened, half had reached (\w+) by (\d+ \w+ \d+) .*, ([\d.]+) days after (?:the first )?sowing`).FindAllStringSubmatch(text, -1) {
		day, err := time.Parse("2 Jan 2006", m[3])
		if err != nil {
			t.Fatal(err)
		}
		halves = append(halves, [4]string{m[1], m[2], day.Format(time.DateOnly), m[4]})
	}
	if len(halves) == 0 {
		t.Fatalf("the demo's report names no day: %s", text)
	}
	return halves
}
