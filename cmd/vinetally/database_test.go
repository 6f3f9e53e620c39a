package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// wantNoFiles checks that a folder is still empty.
func wantNoFiles(t *testing.T, dir string) {
	t.Helper()
	files, err := os.ReadDir(dir)
	if err != nil || len(files) > 0 {
		t.Errorf("%s holds %v (%v), want nothing made", dir, files, err)
	}
}

// TestNoDatabase checks that a command that only reads names the database that isn't there and makes none, and that nothing is
// made by a command that can't begin.
func TestNoDatabase(t *testing.T) {
	for name, c := range map[string]struct {
		args  []string // FILE is the database
		words []string
	}{
		"report":                 {[]string{"report", "--db", "sqlite:FILE", "--season", "Spring", "-o", "FILE.html"}, []string{"FILE", "--db", "vinetally import"}},
		"export":                 {[]string{"export", "--db", "sqlite:FILE", "FILE.out"}, []string{"FILE", "--db", "vinetally import"}},
		"path without sqlite":    {[]string{"export", "--db", "FILE", "FILE.out"}, []string{"FILE", "--db"}},
		"import of nothing":      {[]string{"import", "--db", "sqlite:FILE", "FILE.csv"}, []string{"FILE.csv"}},
		"serve at a bad address": {[]string{"serve", "--db", "sqlite:FILE", "--listen", "127.0.0.1:notaport"}, []string{"notaport", "--listen"}},
		"serve at a taken one":   {[]string{"serve", "--db", "sqlite:FILE", "--listen", taken(t)}, []string{"in use", "--listen"}},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			file := filepath.Join(dir, "trail.db")
			fill := func(all []string) []string {
				return strings.Split(strings.ReplaceAll(strings.Join(all, "\n"), "FILE", file), "\n")
			}
			wantRefused(t, exitRefused, fill(c.args), fill(c.words)...)
			wantNoFiles(t, dir)
		})
	}
}

// TestEmptyDatabaseFile checks that an empty file, which holds no database yet, is not filled by reading.
func TestEmptyDatabaseFile(t *testing.T) {
	dir := folder(t, map[string]string{"empty.db": ""})
	file := filepath.Join(dir, "empty.db")
	wantRefused(t, exitRefused, []string{"export", "--db", "sqlite:" + file, filepath.Join(dir, "out")}, file, "--db")
	if info, err := os.Stat(file); err != nil || info.Size() > 0 {
		t.Errorf("the empty file has become %v (%v)", info, err)
	}
	out := wantDone(t, "import", "--db", "sqlite:"+file, folder(t, map[string]string{"plants.csv": onePlant}))
	if !strings.HasPrefix(out, "Made the new database "+file+"\n") {
		t.Errorf("import into an empty file says %q", out)
	}
}

// TestMadeDatabase checks that a database is said to be made when it is, and only then.
func TestMadeDatabase(t *testing.T) {
	file := filepath.Join(t.TempDir(), "made.db")
	args := []string{"import", "--db", "sqlite:" + file, folder(t, map[string]string{"plants.csv": onePlant})}
	if out := wantDone(t, args...); !strings.HasPrefix(out, "Made the new database "+file+"\n") {
		t.Errorf("the first import says %q", out)
	}
	if out := wantDone(t, args...); strings.Contains(out, "Made the new") {
		t.Errorf("the second import says %q", out)
	}
	other := filepath.Join(t.TempDir(), "served.db")
	s := start(t, "serve", "--db", "sqlite:"+other)
	s.wantStop(t)
	if !strings.HasPrefix(s.out.String(), "Made the new database "+other+"\n") {
		t.Errorf("serve says %q", s.out.String())
	}
}
