package main

import (
	"bytes"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"vinetally/storage"
	"vinetally/testdata"
)

// program runs the whole program with a command line and returns its status and what it wrote.
func program(t *testing.T, args ...string) (status int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	status = run(t.Context(), args, streams{out: &o, err: &e})
	return status, o.String(), e.String()
}

// wantDone runs a command line that must succeed and returns its output.
func wantDone(t *testing.T, args ...string) string {
	t.Helper()
	status, out, errs := program(t, args...)
	if status != exitDone {
		t.Fatalf("vinetally %s: status %d, %s", strings.Join(args, " "), status, errs)
	}
	return out
}

// wantRefused runs a command line that must fail with the status and one line that says all of the words.
func wantRefused(t *testing.T, want int, args []string, words ...string) {
	t.Helper()
	status, _, errs := program(t, args...)
	if status != want {
		t.Errorf("vinetally %s: status %d, want %d", strings.Join(args, " "), status, want)
	}
	lines := strings.Split(strings.TrimSpace(errs), "\n")
	if len(lines) != 1 {
		t.Errorf("standard error has %d lines, want 1: %q", len(lines), errs)
	}
	for _, w := range words {
		if !strings.Contains(errs, w) {
			t.Errorf("standard error %q doesn't say %q", errs, w)
		}
	}
}

// folder writes files into a new folder.
func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// demoFolder is the demo trial's files on disk.
func demoFolder(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "demo")
	if err := os.CopyFS(dir, testdata.Demo()); err != nil {
		t.Fatal(err)
	}
	return dir
}

// taken is an address that somebody listens at.
func taken(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = l.Close() })
	return l.Addr().String()
}

// madeEmpty is a database without records.
func madeEmpty(t *testing.T) string {
	t.Helper()
	dsn := scratch(t)
	db, err := storage.Open(t.Context(), dsn, storage.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	return dsn
}

func scratch(t *testing.T) string { return "sqlite:" + filepath.Join(t.TempDir(), "scratch.db") }

func TestUsage(t *testing.T) {
	for name, args := range map[string][]string{
		"no command":          {},
		"unknown command":     {"prune"},
		"unknown flag":        {"serve", "--port", "1"},
		"report without name": {"report", "-o", "x.html"},
		"import of nothing":   {"import"},
	} {
		t.Run(name, func(t *testing.T) {
			if status, _, errs := program(t, args...); status != exitUsage || !strings.Contains(errs, "vinetally --help") {
				t.Errorf("status %d, %q; want %d and a way to the help", status, errs, exitUsage)
			}
		})
	}
	if status, out, _ := program(t, "--help"); status != exitDone || !strings.Contains(out, "demo") {
		t.Errorf("--help: status %d, %q", status, out)
	}
}

func TestRefusals(t *testing.T) {
	notDatabase := folder(t, map[string]string{"notes.db": "this is a text of a grower, not a database, and it is long enough to be read as one\n"})
	season := scratch(t)
	wantDone(t, "import", "--db", season, demoFolder(t))
	for name, c := range map[string]struct {
		args  []string
		words []string
	}{
		"postgres":               {[]string{"serve", "--db", "postgres://localhost/x"}, []string{"postgres", "not supported yet", "sqlite:FILE"}},
		"missing folder":         {[]string{"serve", "--db", "sqlite:" + filepath.Join(t.TempDir(), "no", "x.db")}, []string{"no folder", "make it first"}},
		"not a database":         {[]string{"serve", "--db", "sqlite:" + filepath.Join(notDatabase, "notes.db")}, []string{"notes.db", "not a vinetally database", "nothing was changed"}},
		"folder under a file":    {[]string{"serve", "--db", "sqlite:" + filepath.Join(notDatabase, "notes.db", "x.db")}, []string{"x.db", "can't be written"}},
		"database is a folder":   {[]string{"serve", "--db", "sqlite:" + notDatabase}, []string{"is a folder", "name a file in it"}},
		"not an address":         {[]string{"serve", "--db", scratch(t), "--listen", "127.0.0.1:notaport"}, []string{"notaport", "--listen"}},
		"address in use":         {[]string{"serve", "--db", scratch(t), "--listen", taken(t)}, []string{"in use", "--listen"}},
		"demo without a folder":  {[]string{"demo", "--once", "--dir", filepath.Join(notDatabase, "notes.db")}, []string{"notes.db", "--dir"}},
		"report onto a folder":   {[]string{"report", "--db", season, "--season", "Winter 2026 (invented)", "-o", notDatabase}, []string{"-o"}},
		"hold time not a number": {[]string{"report", "--db", season, "--season", "x", "-o", "x.html", "--hold-days", "NaN"}, []string{"--hold-days", "0.25 to 365"}},
		"unknown season":         {[]string{"report", "--db", season, "--season", "Spring", "-o", filepath.Join(t.TempDir(), "x.html")}, []string{`"Spring"`, "Autumn 2026 (invented)", "Winter 2026 (invented)"}},
		"no seasons":             {[]string{"report", "--db", madeEmpty(t), "--season", "Spring", "-o", "x.html"}, []string{"import some records first"}},
		"bad as-of":              {[]string{"report", "--db", season, "--season", "x", "-o", "x.html", "--as-of", "yesterday"}, []string{"--as-of", "RFC 3339"}},
		"hold time too short":    {[]string{"report", "--db", season, "--season", "x", "-o", "x.html", "--hold-days", "0"}, []string{"--hold-days", "0.25 to 365"}},
		"unwritable report":      {[]string{"report", "--db", season, "--season", "Winter 2026 (invented)", "-o", filepath.Join(t.TempDir(), "no", "x.html")}, []string{"choose a folder"}},
		"missing file":           {[]string{"import", "--db", scratch(t), "nothing-here"}, []string{"nothing-here"}},
		"unknown file":           {[]string{"import", "--db", scratch(t), filepath.Join(notDatabase, "notes.db")}, []string{"notes.db", "counts.csv"}},
		"full folder":            {[]string{"export", "--db", season, notDatabase}, []string{"empty"}},
	} {
		t.Run(name, func(t *testing.T) { wantRefused(t, exitRefused, c.args, c.words...) })
	}
}

func TestImportTwice(t *testing.T) {
	db := scratch(t)
	first := wantDone(t, "import", "--db", db, demoFolder(t))
	if !strings.Contains(first, "counts.csv: 670 rows: 670 new") {
		t.Errorf("first import says %q", first)
	}
	if again := wantDone(t, "import", "--db", db, demoFolder(t)); !strings.Contains(again, "nothing new") {
		t.Errorf("second import says %q, want nothing new", again)
	}
}

// TestExportRoundTrip checks that export, import into an empty database and export give the same bytes.
func TestExportRoundTrip(t *testing.T) {
	first, second := scratch(t), scratch(t)
	a, b := filepath.Join(t.TempDir(), "a"), filepath.Join(t.TempDir(), "b")
	wantDone(t, "import", "--db", first, demoFolder(t))
	wantDone(t, "export", "--db", first, a)
	wantDone(t, "import", "--db", second, a)
	wantDone(t, "export", "--db", second, b)
	files := 0
	err := fs.WalkDir(os.DirFS(a), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files++
		x, errX := os.ReadFile(filepath.Join(a, path))
		y, errY := os.ReadFile(filepath.Join(b, path))
		if errX != nil || errY != nil || !bytes.Equal(x, y) {
			t.Errorf("%s differs after the round trip (%v, %v)", path, errX, errY)
		}
		return nil
	})
	if err != nil || files != 12 {
		t.Errorf("compared %d files (%v), want 12", files, err)
	}
}

// TestDatabaseFromEnvironment checks that VINETALLY_DB names the database.
func TestDatabaseFromEnvironment(t *testing.T) {
	db := filepath.Join(t.TempDir(), "env.db")
	t.Setenv("VINETALLY_DB", "sqlite:"+db)
	wantDone(t, "import", demoFolder(t))
	if _, err := os.Stat(db); err != nil {
		t.Errorf("the database of VINETALLY_DB: %v", err)
	}
	if _, err := os.Stat(db + "-wal"); err == nil {
		t.Error("a part of the closed database is in a second file")
	}
	other := filepath.Join(t.TempDir(), "flag.db")
	wantDone(t, "import", "--db", "sqlite:"+other, demoFolder(t))
	if _, err := os.Stat(other); err != nil {
		t.Errorf("--db goes before VINETALLY_DB: %v", err)
	}
}
