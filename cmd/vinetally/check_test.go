package main

import (
	"bytes"
	"database/sql"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestCheckDemo checks a sound database, alone and beside a server, and finds a flipped byte in it.
func TestCheckDemo(t *testing.T) {
	db := scratch(t)
	wantDone(t, "import", "--db", db, demoFolder(t))
	want := regexp.MustCompile(`^Checked .*scratch\.db: \d+ pages of the file, tables of version \d+
  14778 records at change 1 \(2 seasons, 2 places, 3 scales, 3 cultivars, 23 plants, 670 counts, .*\)
  0 earlier versions in the history
  the ledgers of 23 plants
Nothing is wrong\.
$`)
	if out := wantDone(t, "check", "--db", db); !want.MatchString(out) {
		t.Errorf("check says %q", out)
	}
	path := strings.TrimPrefix(db, "sqlite:")
	if files, _ := filepath.Glob(path + "*"); len(files) != 1 {
		t.Errorf("check left files: %v", files)
	}
	server := launchServer(t, db)
	if out := wantDone(t, "check", "--db", db); !want.MatchString(out) {
		t.Errorf("beside a server, check says %q", out)
	}
	server.wantStop(t)

	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// A page that was split keeps old bytes of rows that stand elsewhere now, so it has to be a count whose numbers stand in the file once.
	at := -1
	for _, span := range regexp.MustCompile(`\{"breaker":1,[^}]*\}`).FindAllIndex(text, -1) {
		if bytes.Count(text, text[span[0]:span[1]]) == 1 {
			at = span[0]
			break
		}
	}
	if at < 0 {
		t.Fatal("no count with one fruit at breaker whose numbers no other has")
	}
	text[at+len(`{"breaker":`)] ^= '1' ^ '2'
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	status, out, errs := program(t, "check", "--db", db)
	lines := strings.Split(strings.TrimSpace(errs), "\n")
	if status != exitRefused || len(lines) != 2 || strings.Contains(out, "Nothing") {
		t.Fatalf("status %d, %q, %q; want %d and two lines", status, out, errs, exitRefused)
	}
	fault := regexp.MustCompile(`^count 2026-\d\d-\d\d\S* of plant \S+, season .+ \(counts [0-9a-f-]{36}\): it isn't what was stored: its digest doesn't fit; compare it with your notes`)
	if !fault.MatchString(lines[0]) {
		t.Errorf("the fault is told as %q", lines[0])
	}
	if want := "vinetally: 1 thing is wrong with " + path + "; nothing was changed"; !strings.HasPrefix(lines[1], want) {
		t.Errorf("the last line is %q, want %q", lines[1], want)
	}
	wantRefused(t, exitRefused, []string{"backup", "--db", db, filepath.Join(t.TempDir(), "copy.db")}, "the copy isn't sound, so it was not kept", "of plant ")
}

// TestCheckRefuses: what isn't a database that can be checked is told so, and stays as it is.
func TestCheckRefuses(t *testing.T) {
	files := folder(t, map[string]string{"text.db": strings.Repeat("season,plant\n", 100)})
	newer := madeEmpty(t)
	pool, err := sql.Open(sqliteDriver(), strings.TrimPrefix(newer, "sqlite:"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := pool.Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (999, 1)`); err != nil {
		t.Fatal(err)
	}
	if err := pool.Close(); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		db    string
		words []string
	}{
		"none":     {filepath.Join(files, "none.db"), []string{"there is none at", "--db sqlite:FILE"}},
		"folder":   {files, []string{"is a folder; name a file in it"}},
		"text":     {filepath.Join(files, "text.db"), []string{"not a vinetally database", "name another"}},
		"newer":    {newer, []string{"database of a newer version", "use the newer program"}},
		"postgres": {"postgres://x/y", []string{"postgres is not supported yet"}},
	} {
		t.Run(name, func(t *testing.T) {
			wantRefused(t, exitRefused, []string{"check", "--db", c.db}, c.words...)
			to := filepath.Join(t.TempDir(), "copy.db")
			wantRefused(t, exitRefused, []string{"backup", "--db", c.db, to}, c.words...)
			if left, _ := filepath.Glob(filepath.Join(filepath.Dir(to), "*")); len(left) > 0 {
				t.Errorf("left behind: %v", left)
			}
		})
	}
	if _, err := os.Stat(filepath.Join(files, "none.db")); err == nil {
		t.Error("check made a database")
	}
}

// TestLedgerFaults: what the program adds up wrongly is told. Records that contradict each other are no such thing.
func TestLedgerFaults(t *testing.T) {
	plant := crop.Plant{ID: crop.ID{1}, Label: "A1", CultivarID: crop.ID{2}, SownOn: &crop.Date{Year: 2026, Month: 1, Day: 1}}
	day := func(d int) crop.Moment { return crop.Moment{Day: crop.Date{Year: 2026, Month: 4, Day: d}} }
	trial := func() *crop.Trial {
		return &crop.Trial{
			Plants: []crop.Plant{plant}, Cultivars: []crop.Cultivar{{ID: crop.ID{2}, Name: "Pip", ScaleID: &crop.DefaultScaleID}},
			Scales: []crop.Scale{crop.DefaultScale()},
			Visits: []crop.Visit{
				{ID: crop.ID{3}, PlantID: plant.ID, CountedAt: day(1), Counts: map[string]int{"green": 9, "breaker": 0, "turning": 0, "red": 3}},
				{ID: crop.ID{4}, PlantID: plant.ID, CountedAt: day(5), Counts: map[string]int{"green": 1, "breaker": 0, "turning": 0, "red": 0}},
			},
			Pickings: []crop.Picking{{ID: crop.ID{5}, PlantID: &plant.ID, PickedAt: day(3), Stage: "red", Fruits: new(40), Grade: crop.Cull}},
			Losses:   []crop.Loss{{ID: crop.ID{6}, PlantID: &plant.ID, LostAt: day(4), Stage: "green", Fruits: new(2), Cause: crop.Split}},
		}
	}
	sound := trial()
	sound.Arrange()
	if faults := ledgerFaults(sound, plant.ID); len(faults) > 0 {
		t.Errorf("faults %q of records that only contradict each other", faults)
	}
	wrong := trial()
	wrong.Losses[0].Cause = "" // a loss of no cause is in no sum by cause
	wrong.Pickings[0].Fruits = new(-1)
	wrong.Arrange()
	text := strings.Join(ledgerFaults(wrong, plant.ID), "\n")
	for _, want := range []string{"all that was picked is 0, and worked out another way -1", "what was lost, by cause is 0, and worked out another way 2"} {
		if !strings.Contains(text, want) {
			t.Errorf("faults %q don't say %q", text, want)
		}
	}
	if faults := ledgerFaults(sound, crop.ID{9}); len(faults) != 1 {
		t.Errorf("faults %q of a plant that isn't there", faults)
	}
}
