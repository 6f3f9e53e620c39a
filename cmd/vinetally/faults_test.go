package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

const onePlant = "season,place,cultivar,plant,sown_on\nSpring,Sill,Pip,A1,2026-03-01\n"

// wantNothingStored checks that a database holds no record of a grower.
func wantNothingStored(t *testing.T, db string) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "out")
	out := wantDone(t, "export", "--db", db, dir)
	for _, file := range []string{"seasons.csv", "places.csv", "cultivars.csv", "plants.csv", "counts.csv"} {
		if !strings.Contains(out, file+": 0 rows") {
			t.Errorf("%s holds rows: %q", file, out)
		}
	}
}

func TestImportFaults(t *testing.T) {
	bad := folder(t, map[string]string{
		"plants.csv": onePlant,
		"counts.csv": "season,plant,counted_at,green,red\nSpring,A1,2026-05-01,3,0\nSpring,A9,2026-05-01,3,0\nSpring,A1,01/05/2026,3,0\nSpring,A1,2026-05-03,3,x\nSpring,A1,2026-05-04,-3,0\n",
	})
	db := scratch(t)
	status, out, errs := program(t, "import", "--db", db, bad)
	if status != exitRefused || !strings.HasPrefix(out, "Made the new database ") || strings.Count(out, "\n") != 1 {
		t.Errorf("status %d, output %q; want %d and that a database was made", status, out, exitRefused)
	}
	lines := strings.Split(strings.TrimSuffix(errs, "\n"), "\n")
	counts := filepath.Join(bad, "counts.csv")
	wants := []string{counts + ":3: plant: ", counts + ":4: counted_at: ", counts + ":5: red: ", counts + ":6: green: ",
		"vinetally: nothing was stored; mend these 4 faults and import again"}
	if len(lines) != len(wants) {
		t.Fatalf("standard error has %d lines, want %d:\n%s", len(lines), len(wants), errs)
	}
	for i, want := range wants {
		if !strings.HasPrefix(lines[i], want) {
			t.Errorf("line %d is %q, want it to begin with %q", i+1, lines[i], want)
		}
	}
	wantNothingStored(t, db)
}

// TestManyFaults checks that an import tells 50 faults, a line each, and says that it stopped there.
func TestManyFaults(t *testing.T) {
	var counts strings.Builder
	counts.WriteString("season,plant,counted_at,green\n")
	for i := range 80 {
		fmt.Fprintf(&counts, "Spring,A1,2026-05-%02d,%dx\n", 1+i%28, i)
	}
	db := scratch(t)
	status, _, errs := program(t, "import", "--db", db, folder(t, map[string]string{"plants.csv": onePlant, "counts.csv": counts.String()}))
	lines := strings.Split(strings.TrimSuffix(errs, "\n"), "\n")
	if status != exitRefused || len(lines) != 51 {
		t.Fatalf("status %d and %d lines, want %d and 51:\n%s", status, len(lines), exitRefused, errs)
	}
	fault := regexp.MustCompile(`^.*counts\.csv:\d+: green: .+`)
	for i, line := range lines[:50] {
		if !fault.MatchString(line) {
			t.Errorf("line %d is %q, want FILE:LINE: column: what", i+1, line)
		}
	}
	if want := "50 faults (there may be more)"; !strings.Contains(lines[50], want) {
		t.Errorf("the last line is %q, want it to say %q", lines[50], want)
	}
	wantNothingStored(t, db)
}

func TestOneFault(t *testing.T) {
	_, _, errs := program(t, "import", "--db", scratch(t), folder(t, map[string]string{"plants.csv": onePlant + "Spring,Sill,Pip,A1,2026-03-01\n"}))
	if want := "mend this fault and import again\n"; strings.Count(errs, "\n") != 2 || !strings.HasSuffix(errs, want) {
		t.Errorf("standard error is %q, want a fault and %q", errs, want)
	}
}

// TestDryRun checks that an import on trial says what it would do and stores nothing.
func TestDryRun(t *testing.T) {
	db := madeEmpty(t)
	out := wantDone(t, "import", "--dry-run", "--db", db, demoFolder(t))
	if !strings.Contains(out, "670 new") || !strings.Contains(strings.ToLower(out), "stored") {
		t.Errorf("the dry run says %q", out)
	}
	wantNothingStored(t, db)
	missing := filepath.Join(t.TempDir(), "none.db")
	out = wantDone(t, "import", "--dry-run", "--db", "sqlite:"+missing, demoFolder(t))
	if !strings.Contains(out, "670 new") || !strings.Contains(out, "There is no database "+missing+" yet") {
		t.Errorf("the dry run without a database says %q", out)
	}
	wantNoFiles(t, filepath.Dir(missing))
}

// TestReplace checks that another version of a row is refused until it is asked for.
func TestReplace(t *testing.T) {
	db := scratch(t)
	with := func(red string) string {
		return folder(t, map[string]string{"plants.csv": onePlant, "counts.csv": "season,plant,counted_at,green,red\nSpring,A1,2026-05-01,3," + red + "\n"})
	}
	wantDone(t, "import", "--db", db, with("1"))
	if status, _, errs := program(t, "import", "--db", db, with("2")); status != exitRefused || !strings.Contains(errs, "--replace") {
		t.Errorf("status %d, %q; want %d and a way to mend", status, errs, exitRefused)
	}
	wantDone(t, "import", "--replace", "--db", db, with("2"))
	dir := filepath.Join(t.TempDir(), "out")
	wantDone(t, "export", "--db", db, dir)
	text, err := os.ReadFile(filepath.Join(dir, "counts.csv"))
	if err != nil || !bytes.Contains(text, []byte(",3,,,2,")) {
		t.Errorf("counts.csv is %q (%v), want red 2", text, err)
	}
}

// TestInterrupted checks that a broken-off command says so, fails, and stores nothing.
func TestInterrupted(t *testing.T) {
	db := madeEmpty(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for name, args := range map[string][]string{
		"import": {"import", "--db", db, demoFolder(t)},
		"report": {"report", "--db", db, "--season", "Spring", "-o", filepath.Join(t.TempDir(), "x.html")},
		"export": {"export", "--db", db, filepath.Join(t.TempDir(), "out")},
		"demo":   {"demo", "--once", "--dir", t.TempDir()},
	} {
		t.Run(name, func(t *testing.T) {
			var out, errs bytes.Buffer
			status := run(ctx, args, streams{out: &out, err: &errs})
			if text := errs.String(); status != exitRefused || strings.Count(text, "\n") != strings.Count(text, "vinetally: ") || !strings.Contains(text, "interrupted before it was done") {
				t.Errorf("status %d, output %q, standard error %q", status, out.String(), text)
			}
		})
	}
	wantNothingStored(t, db)
}
