package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// kitchen is a server on a scratch database that holds the demo trial, and a folder to run recipes in.
type kitchen struct{ base, db, dir string }

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

// fetch saves a recipe in the folder and returns its text.
func (k *kitchen) fetch(t *testing.T, file string) string {
	t.Helper()
	r, text := get(t, k.base+"/docs/recipes/"+file)
	if r.StatusCode != http.StatusOK {
		t.Fatalf("GET /docs/recipes/%s: status %d", file, r.StatusCode)
	}
	k.write(t, file, text)
	return text
}

func (k *kitchen) write(t *testing.T, file, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(k.dir, file), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func (k *kitchen) read(t *testing.T, file string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(k.dir, file))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// try runs a command line in the folder and returns what it wrote, standard error after standard output.
func (k *kitchen) try(t *testing.T, input string, line ...string) (string, error) {
	t.Helper()
	c := exec.CommandContext(t.Context(), line[0], line[1:]...)
	c.Dir, c.Stdin, c.Env = k.dir, strings.NewReader(input), append(os.Environ(), "VINETALLY="+k.base, "USER=Ana")
	c.WaitDelay = time.Second
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	err := c.Run()
	if _, failed := errors.AsType[*exec.ExitError](err); err != nil && !failed {
		t.Fatal(err)
	}
	return out.String() + errs.String(), err
}

// run is try of what must succeed.
func (k *kitchen) run(t *testing.T, input string, line ...string) string {
	t.Helper()
	out, err := k.try(t, input, line...)
	if err != nil {
		t.Fatalf("%s: %v\n%s", strings.Join(line, " "), err, out)
	}
	return out
}

// answer reads an address of the server as JSON.
func answer[T any](t *testing.T, url string) (v T) {
	t.Helper()
	r, body := get(t, url)
	if err := json.Unmarshal([]byte(body), &v); err != nil || r.StatusCode != http.StatusOK {
		t.Fatalf("GET %s: status %d, %v\n%s", url, r.StatusCode, err, body)
	}
	return v
}

type page[T any] struct{ Items []T }

// needsPrograms skips a test aloud where a program isn't installed.
func needsPrograms(t *testing.T, names ...string) {
	t.Helper()
	for _, name := range names {
		if _, err := exec.LookPath(name); err != nil {
			t.Skipf("SKIPPED: no %s in PATH; this recipe was not run", name)
		}
	}
}

func needsR(t *testing.T, packages ...string) {
	t.Helper()
	needsPrograms(t, "Rscript")
	for _, p := range packages {
		if err := exec.CommandContext(t.Context(), "Rscript", "-e", "library("+p+")").Run(); err != nil {
			t.Skipf("SKIPPED: R has no package %s; this recipe was not run", p)
		}
	}
}

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

const autumn = "Autumn 2026 (invented)"

// demoHalves are the days by which the demo's answer says that half of a cultivar's fruit had reached a stage, as
// cultivar, stage, date and days from sowing.
func demoHalves(t *testing.T) (halves [][4]string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "demo-answer.txt"))
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`fruit of (\w+) that ripened, half had reached (\w+) by (\d+ \w+ \d+) .*, ([\d.]+) days after (?:the first )?sowing`).FindAllStringSubmatch(string(text), -1) {
		day, err := time.Parse("2 Jan 2006", m[3])
		if err != nil {
			t.Fatal(err)
		}
		halves = append(halves, [4]string{m[1], m[2], day.Format(time.DateOnly), m[4]})
	}
	if len(halves) == 0 {
		t.Fatalf("the demo's answer names no day: %s", text)
	}
	return halves
}

// wantLine demands a line that has the words in order, whatever stands between them.
func wantLine(t *testing.T, out string, words ...string) {
	t.Helper()
	for line := range strings.Lines(out) {
		rest, found := line, true
		for _, w := range words {
			if _, rest, found = strings.Cut(rest, w); !found {
				break
			}
		}
		if found {
			return
		}
	}
	t.Errorf("no line has %q:\n%s", words, out)
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

// loggerFile is a file as loggers write it, in the morning of a winter and of a summer day, with a reading that failed.
const loggerFile = "Time;Temperature\r\n03.02.2026 08:00;18,5\r\n03.02.2026 08:10;-0,25\r\n03.02.2026 08:20;\r\n03.07.2026 08:00;24\r\n"

func wantTemperatures(t *testing.T, k *kitchen, place string, want ...string) {
	t.Helper()
	type named struct{ ID, Name string }
	places := answer[page[named]](t, k.base+"/v1/places").Items
	at := slices.IndexFunc(places, func(p named) bool { return p.Name == place })
	if at < 0 {
		t.Fatalf("no place %q among %v", place, places)
	}
	var got []string
	for _, r := range answer[page[struct {
		MeasuredAt time.Time `json:"measured_at"`
		AirC       float64   `json:"air_c"`
	}]](t, k.base+"/v1/temperatures?place_id="+places[at].ID).Items {
		got = append(got, fmt.Sprint(r.MeasuredAt.UTC().Format(time.RFC3339), " ", r.AirC))
	}
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("stored at %s: %q, want %q", place, got, want)
	}
}

// addPlace makes a place of the name.
func (k *kitchen) addPlace(t *testing.T, name, zone string) {
	t.Helper()
	body, _ := json.Marshal(map[string]string{"name": name, "time_zone": zone})
	r, err := http.Post(k.base+"/v1/places", "application/json", bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	_ = r.Body.Close()
	if r.StatusCode != http.StatusCreated {
		t.Fatalf("POST /v1/places: status %d", r.StatusCode)
	}
}

func sendTemperatures(t *testing.T, k *kitchen) {
	needsPrograms(t, "sh", "curl", "awk")
	const place = `"bench", left`
	k.addPlace(t, place, "UTC")
	k.write(t, "logger.csv", loggerFile)
	first := k.run(t, "", "sh", "send-temperatures.sh", "logger.csv", place, "+01:00")
	again := k.run(t, "", "sh", "send-temperatures.sh", "logger.csv", place, "+01:00")
	if !strings.Contains(first, `"created":3`) || !strings.Contains(again, `"unchanged":3`) {
		t.Errorf("three readings aren't stored once:\n%s%s", first, again)
	}
	wantTemperatures(t, k, place, "2026-02-03T07:00:00Z 18.5", "2026-02-03T07:10:00Z -0.25", "2026-07-03T07:00:00Z 24")
}

func temperaturesInR(t *testing.T, k *kitchen) {
	needsR(t, "httr2", "jsonlite")
	const place = "cold frame"
	k.addPlace(t, place, "Europe/Berlin")
	k.write(t, "logger.csv", "\ufeff"+loggerFile)
	first := k.run(t, "", "Rscript", "temperatures.R", "logger.csv", place, "Europe/Berlin")
	again := k.run(t, "", "Rscript", "temperatures.R", "logger.csv", place, "Europe/Berlin")
	wantLine(t, first, "3 readings: 3 new")
	wantLine(t, again, "3 readings: 0 new, 3 stored before")
	wantTemperatures(t, k, place, "2026-02-03T07:00:00Z 18.5", "2026-02-03T07:10:00Z -0.25", "2026-07-03T06:00:00Z 24")
	if out, err := k.try(t, "", "Rscript", "temperatures.R", "logger.csv", "nowhere", "UTC"); err == nil || !strings.Contains(out, "nowhere") {
		t.Errorf("of a place that isn't there: %v\n%s", err, out)
	}
}

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
