package main

import (
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// databaseCommands are the commands that open a database, with what else they need to be right.
func databaseCommands(t *testing.T) map[string][]string {
	out := t.TempDir()
	return map[string][]string{
		"serve":  {"serve", "--listen", "127.0.0.1:0"},
		"import": {"import", folder(t, map[string]string{"plants.csv": onePlant})},
		"export": {"export", filepath.Join(out, "export")},
		"report": {"report", "--season", "Spring", "-o", filepath.Join(out, "report.html")},
		"check":  {"check"},
		"backup": {"backup", filepath.Join(out, "copy.db")},
	}
}

// onDatabase carries statements out on a file, as another program may.
func onDatabase(t *testing.T, path string, statements ...string) {
	t.Helper()
	pool, err := sql.Open(sqliteDriver(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	for _, s := range statements {
		if _, err := pool.Exec(s); err != nil {
			t.Fatal(err)
		}
	}
}

// TestUnfitDatabases: every command refuses a file that it can't use, in one line that says what to do, and changes nothing.
func TestUnfitDatabases(t *testing.T) {
	text := filepath.Join(folder(t, map[string]string{"notes.db": strings.Repeat("season,plant,counted_at\n", 300)}), "notes.db")
	short := filepath.Join(folder(t, map[string]string{"short.db": "x"}), "short.db")
	other := filepath.Join(t.TempDir(), "other.db")
	onDatabase(t, other, "CREATE TABLE others (x)", "INSERT INTO others VALUES (1)")
	newer := strings.TrimPrefix(madeEmpty(t), "sqlite:")
	onDatabase(t, newer, "INSERT INTO goose_db_version (version_id, is_applied) VALUES (999, 1)")
	for name, c := range map[string]struct {
		path  string
		words []string
	}{
		"text":                     {text, []string{"not a vinetally database", "name another"}},
		"one byte":                 {short, []string{"not a vinetally database", "name another"}},
		"another program's":        {other, []string{"not a vinetally database", "another program", "nothing was changed"}},
		"of a newer version":       {newer, []string{"newer version", "use the newer program", "nothing was changed"}},
		"a folder where one can't": {filepath.Join(text, "x.db"), []string{"x.db"}},
	} {
		before, _ := os.ReadFile(c.path) // none, of what isn't there
		for command, args := range databaseCommands(t) {
			t.Run(name+"/"+command, func(t *testing.T) {
				wantRefused(t, exitRefused, append(args, "--db", "sqlite:"+c.path), c.words...)
				if before != nil {
					wantSameFile(t, c.path, before)
				}
				files, _ := filepath.Glob(c.path + "?*")
				for _, f := range files {
					// A connection that only reads can't take away the empty log that it needs (sqlite.org/wal.html).
					if info, err := os.Stat(f); err != nil || !strings.HasSuffix(f, "-shm") && (!strings.HasSuffix(f, "-wal") || info.Size() > 0) {
						t.Errorf("it left %s", f)
					}
				}
			})
		}
	}
}
