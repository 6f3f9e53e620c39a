package storage

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestCheckTells does one kind of damage after the other to a sound database, behind the program's back, and holds Check to
// saying what it is and where.
func TestCheckTells(t *testing.T) {
	sound := sampleFile(t)
	if n := len(wantSound(t, sound).Damage); n > 0 {
		t.Fatalf("the sample has %d damages", n)
	}
	const edited = `(SELECT id FROM visits WHERE version = 5 LIMIT 1)`
	const gone = `(SELECT record_id FROM history WHERE deleted LIMIT 1)`
	for _, c := range []struct {
		name, damage string
		settle       bool // give the rows digests that fit, so that only other checks can find it
		want         []string
	}{
		{"column of a record", `UPDATE visits SET note = 'x' WHERE version = 1 AND id = (SELECT min(id) FROM visits WHERE version = 1)`, false,
			[]string{"count 2026-03-", "of plant ", "season sample (counts ", "its digest doesn't fit; compare it with your notes"}},
		{"digest of a record", `UPDATE losses SET digest = digest + 1`, false, []string{"loss 2026-04-01T", "its digest doesn't fit"}},
		{"stand-in of a day", `UPDATE pickings SET picked_at = picked_at + 1 WHERE picked_day IS NOT NULL`, false, []string{"picking 2026-04-03 of season sample"}},
		{"move of a plant", `UPDATE plant_moves SET moved_on = '2026-03-02'`, false, []string{"plant A0s of season sample (plants "}},
		{"scale", `UPDATE scales SET name = 'three' WHERE name = 'two'`, false, []string{"scale three (scales "}},
		{"reading", `UPDATE temperatures SET air_c = 20.5`, false, []string{"temperature reading 2026-04-01T", "of place sample"}},
		{"earlier version", `UPDATE history SET actor = 'x' WHERE version = 2 AND record_id = ` + edited, false,
			[]string{"version 2 of count 2026-03-", "of plant ", "its digest doesn't fit; the record itself isn't touched"}},
		{"earlier version in the middle gone", `DELETE FROM history WHERE version = 2 AND record_id = ` + edited, true,
			[]string{"version 3 of count ", "the version before it in the history is 1"}},
		{"earliest version gone", `DELETE FROM history WHERE version = 1 AND record_id = ` + edited, true,
			[]string{"version 2 of count ", "it is the oldest in the history, but 1 came before it"}},
		{"latest earlier version gone", `DELETE FROM history WHERE version = 4 AND record_id = ` + edited, true,
			[]string{"it is version 5, but the history ends with 3"}},
		{"record gone without a deletion", `DELETE FROM visits WHERE id = ` + edited, true,
			[]string{"the history ends with version 4, which is no deletion, but the record isn't there"}},
		{"deleted twice", `INSERT INTO history (site_id, kind, record_id, version, recorded_at, actor, deleted, body)
			SELECT site_id, kind, record_id, version + 1, recorded_at, actor, 1, body FROM history WHERE deleted AND record_id = ` + gone, true,
			[]string{"it is a deletion after a deletion"}},
		{"earlier version of another record", `UPDATE history SET body = json_set(body, '$.id', 'a1000000-0000-4000-8000-000000000000')
			WHERE version = 1 AND record_id = ` + edited, true, []string{"it is of another record"}},
		{"earlier version of no kind", `UPDATE history SET kind = 'fruits' WHERE record_id = ` + gone, true,
			[]string{"version 1 of a record (fruits ", `unknown kind "fruits"`}},
		{"rule", `UPDATE visits SET counts = '{"purple":3}' WHERE version = 1`, true,
			[]string{"count 2026-03-", "/counts/purple", "; correct the record"}},
		{"text that is no day", `PRAGMA ignore_check_constraints = 1; UPDATE plants SET sown_on = '2026-13-01' WHERE label LIKE 'B%'`, false,
			[]string{"a plant (plants ", "can't be read"}},
		{"reference", `PRAGMA foreign_keys = 0; DELETE FROM cultivars`, true,
			[]string{"5 rows of the table plants refer to what isn't in the table cultivars", "plant A0s of season sample (plants "}},
		{"records deleted by hand", `DELETE FROM visits WHERE id IN (SELECT id FROM visits WHERE version = 1 LIMIT 2)`, true,
			[]string{": 2 went some other way; restore the file from a backup"}},
		{"a record put in by hand", `INSERT INTO seasons SELECT site_id, randomblob(16), version, recorded_at, actor, name || '!', first_day, last_day, digest FROM seasons`, true,
			[]string{" came some other way"}},
		{"change number", `UPDATE sites SET change = change + 1`, false, []string{"the site's id, its change number or its digest"}},
		{"change number too low", `UPDATE sites SET change = 3, digest = digest - change + 3`, false,
			[]string{"the change number is 3, but the records were written at 11 different times"}},
		{"index", `DROP INDEX visits_time`, false, []string{"the definition of index visits_time of visits is missing"}},
		{"trigger", `DROP TRIGGER visits_counts_update`, false, []string{"the definition of trigger visits_counts_update of visits is missing"}},
		{"table of somebody else", `CREATE TABLE mine (x)`, false, []string{`"table mine of mine" is none of the program's; drop it if you made it`}},
		{"definition", `PRAGMA writable_schema = 1; UPDATE sqlite_schema SET sql = replace(sql, '273.15', '373.15') WHERE name = 'temperatures'`, false,
			[]string{"the definition of table temperatures of temperatures isn't what the program makes"}},
		{"planner's statistics", `UPDATE sqlite_stat1 SET stat = '1 1 1' WHERE idx = 'visits_plant'`, false,
			[]string{"the planner's statistics of visits visits_plant isn't"}},
		{"migrations", `DELETE FROM goose_db_version WHERE version_id = 1`, false, []string{"the record of the migration 1 is missing"}},
		{"layout of digests", `PRAGMA user_version = 9`, false, []string{"the layout of the digests, in PRAGMA user_version isn't"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "damaged.db")
			harm(t, sound, path, c.damage, c.settle)
			checked, err := Check(t.Context(), path, CheckOptions{})
			if err != nil {
				t.Fatal(err)
			}
			var all []string
			for _, d := range checked.Damage {
				all = append(all, d.String())
			}
			text := strings.Join(all, "\n")
			for _, want := range c.want {
				if !strings.Contains(text, want) {
					t.Errorf("check doesn't say %q, but\n%.2000s", want, text)
				}
			}
			if c.settle && strings.Contains(text, "digest") {
				t.Errorf("digests were to fit: %.2000s", text)
			}
		})
	}
}

// harm copies a database and changes it by SQL.
func harm(t *testing.T, from, to, damage string, settle bool) {
	t.Helper()
	bytes, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, bytes, 0o644); err != nil {
		t.Fatal(err)
	}
	pool, err := sql.Open(driverName, uri(to, writerQuery(1000)))
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	pool.SetMaxOpenConns(1)
	if _, err := pool.Exec(damage); err != nil {
		t.Fatal(err)
	}
	if !settle {
		return
	}
	if _, err := pool.Exec(`PRAGMA foreign_keys = 0; PRAGMA user_version = 0`); err != nil {
		t.Fatal(err)
	}
	if err := fillDigests(t.Context(), pool); err != nil {
		t.Fatal(err)
	}
}

// TestCheckCounts: what was looked at is told in numbers, and the ledgers' faults are told of their plants.
func TestCheckCounts(t *testing.T) {
	path := sampleFile(t)
	var plants []crop.ID
	checked, err := Check(t.Context(), "sqlite:"+path, CheckOptions{Plant: func(tr *crop.Trial, plant crop.ID) []string {
		plants = append(plants, plant)
		if p, ok := tr.Plant(plant); !ok || len(tr.Visits) < 20 || len(tr.Pickings) != 2 || p.Label == "" {
			t.Errorf("plant %v: %d counts, %d pickings", p, len(tr.Visits), len(tr.Pickings))
		}
		if len(plants) == 2 {
			return []string{"doesn't close"}
		}
		return nil
	}})
	if err != nil {
		t.Fatal(err)
	}
	var words []string
	for _, k := range checked.Kinds {
		words = append(words, k.Words)
	}
	want := []string{"1 season", "1 place", "3 scales", "1 cultivar", "5 plants", "115 counts", "6 pickings", "5 losses", "5 diary entries",
		"100 temperature readings", "1 germination count"}
	if !slices.Equal(words, want) || checked.Records() != 243 || checked.Earlier != 30*4+10*2 || checked.Plants != 5 || len(plants) != 5 {
		t.Errorf("%q, %d records, %d earlier versions, %d plants; want %q, 243, 140, 5", words, checked.Records(), checked.Earlier, checked.Plants, want)
	}
	if len(checked.Damage) != 1 || !strings.HasPrefix(checked.Damage[0].String(), "plant B1ns of season sample (plants "+plants[1].String()+"): doesn't close; ") ||
		checked.Sound() {
		t.Errorf("damage %v", checked.Damage)
	}
}

// TestCheckIsLimited: a file that is wrong everywhere gives a list that can be read, and the number of the rest.
func TestCheckIsLimited(t *testing.T) {
	path := filepath.Join(t.TempDir(), "damaged.db")
	harm(t, sampleFile(t), path, `UPDATE visits SET observer = 'x'; UPDATE temperatures SET air_c = 1; UPDATE diary SET note = 'x'`, false)
	checked, err := Check(t.Context(), path, CheckOptions{})
	if err != nil || len(checked.Damage) != mostDamage || checked.Untold != 115+100+5-mostDamage {
		t.Errorf("%d told, %d not, %v", len(checked.Damage), checked.Untold, err)
	}
}

// TestCheckLeavesAlone: check makes nothing, changes nothing, and works where nothing can be written and beside others.
func TestCheckLeavesAlone(t *testing.T) {
	path := sampleFile(t)
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	before, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	wantSound(t, path)
	after, err := os.Stat(path)
	if err != nil || before.ModTime() != after.ModTime() {
		t.Errorf("the file was written, %v", err)
	}
	if files, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*")); len(files) != 1 {
		t.Errorf("check made files: %v", files)
	}
	for name, c := range map[string]struct {
		contents string
		is       error
		want     string
	}{
		"none":  {"", ErrMissing, "there is none at"},
		"empty": {"", ErrMissing, "there is none at"},
		"text":  {strings.Repeat("text ", 1000), ErrNotOurs, "name another"},
	} {
		path := filepath.Join(t.TempDir(), name)
		if name != "none" {
			if err := os.WriteFile(path, []byte(c.contents), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		checked, err := Check(t.Context(), path, CheckOptions{})
		if err == nil || !strings.Contains(err.Error(), c.want) || !errors.Is(err, c.is) {
			t.Errorf("%s: %+v, %v; want %q", name, checked, err, c.want)
		}
		if files, _ := filepath.Glob(path + "*"); name == "none" && len(files) > 0 || len(files) > 1 {
			t.Errorf("%s: check made files: %v", name, files)
		}
	}
	newer := filepath.Join(t.TempDir(), "newer.db")
	harm(t, path, newer, `INSERT INTO goose_db_version (version_id, is_applied) VALUES (999, 1)`, false)
	if _, err := Check(t.Context(), newer, CheckOptions{}); !errors.Is(err, ErrNewer) {
		t.Errorf("newer: %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Check(ctx, path, CheckOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("given up: %v", err)
	}
}

// TestCheckOlder: of a file of an older version SQLite's own checks are made, it can be copied, and it stays as it is.
func TestCheckOlder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.db")
	oldFile(t, path, 2)
	to := filepath.Join(t.TempDir(), "copy.db")
	if _, err := Backup(t.Context(), path, to, BackupOptions{}); err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{path, to} {
		checked, err := Check(t.Context(), p, CheckOptions{})
		if err != nil || !checked.Older() || checked.Version != 2 || len(checked.Kinds) != 0 || checked.Pages == 0 || !checked.Sound() {
			t.Errorf("%+v, %v", checked, err)
		}
	}
	db, err := Open(t.Context(), to, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if checked := wantSound(t, to); checked.Older() || checked.Records() != 12-1 || checked.Earlier != 1 {
		t.Errorf("%+v", checked)
	}
}
