package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vinetally/api/csvfile"
)

const (
	fewPlants = "season,place,cultivar,plant,sown_on\n2026,bench,Amberlin,A1,2026-02-01\n"
	fewCounts = "season,plant,counted_at,green\n2026,A1,2026-04-05T08:15:00Z,12\n"
)

// runWithInput runs a command with text on its standard input.
func runWithInput(t *testing.T, in string, args ...string) (status int, out, errs string) {
	t.Helper()
	var o, e strings.Builder
	status = run(t.Context(), args, streams{in: strings.NewReader(in), out: &o, err: &e})
	return status, o.String(), e.String()
}

func TestImportStandardInput(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir) // where what was read is kept meanwhile
	db := "sqlite:" + filepath.Join(t.TempDir(), "trial.db")
	for _, c := range []struct {
		name, in  string
		args      []string
		status    int
		out, errs string
	}{
		{"plants", fewPlants, []string{"--as", "plants.csv", "-"}, 0, "-: 1 row: 1 new\n", ""},
		{"counts", "\ufeff" + fewCounts, []string{"--as", "COUNTS.csv", "-"}, 0, "-: 1 row: 1 new\n", ""},
		{"again", fewCounts, []string{"--as", "counts.csv", "-"}, 0, "nothing new\n", ""},
		{"faults", strings.ReplaceAll(fewCounts, ",12", ",x"), []string{"--as", "counts.csv", "-"}, 1, "", "-:2: green: \"x\" is not a whole number"},
		{"empty", "", []string{"--as", "counts.csv", "-"}, 1, "", "-:1: is empty; the first line names the columns\n"},
		{"what is it", fewCounts, []string{"-"}, 1, "", "vinetally: say what is on standard input, such as --as counts.csv\n"},
		{"unknown", fewCounts, []string{"--as", "weights.csv", "-"}, 1, "", "vinetally: \"weights.csv\" is none of the files that can be imported; they are seasons.csv, "},
		{"with others", fewCounts, []string{"-", "plants.csv"}, 1, "", "vinetally: standard input (-) is imported by itself; leave the other paths for another import\n"},
		{"two paths", "", []string{"--as", "counts.csv", "a.csv", "b.csv"}, 1, "", "vinetally: --as says what one path is; import the others by themselves\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			status, out, errs := runWithInput(t, c.in, append([]string{"import", "--db", db}, c.args...)...)
			if status != c.status || !strings.Contains(out, c.out) || !strings.HasPrefix(errs, c.errs) {
				t.Errorf("got status %d, %q, %q; want %d, %q, %q", status, out, errs, c.status, c.out, c.errs)
			}
		})
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}

func TestImportAs(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "from phone.txt")
	if err := os.WriteFile(path, []byte(fewPlants), 0o600); err != nil {
		t.Fatal(err)
	}
	db := "sqlite:" + filepath.Join(dir, "trial.db")
	status, out, errs := runWithInput(t, "", "import", "--db", db, "--as", "plants.csv", path)
	if status != 0 || !strings.Contains(out, path+": 1 row: 1 new\n") {
		t.Errorf("got status %d, %q, %q", status, out, errs)
	}
	status, _, errs = runWithInput(t, "", "import", "--db", db, "--as", "plants.csv", dir)
	if status != 1 || errs != "vinetally: "+dir+": is a folder; name a file in it\n" {
		t.Errorf("got status %d, %q", status, errs)
	}
}

// A picking of more than ever stood is stored, and told; importing it again isn't.
func TestImportWarnsOfPickings(t *testing.T) {
	dir := folder(t, map[string]string{"plants.csv": fewPlants + "2026,bench,Amberlin,A2,2026-02-01\n",
		"counts.csv": "season,plant,counted_at,green,breaker,turning,red\n2026,A1,2026-05-05T08:15Z,3,0,0,2\n2026,A1,2026-05-06T08:15Z,3,0,0,0\n" +
			"2026,A2,2026-05-05T08:15Z,3,0,0,2\n2026,A2,2026-05-06T08:15Z,3,0,0,0\n",
		"pickings.csv": "season,plant,picked_at,stage,fruits\n2026,A1,2026-05-05T08:15Z,red,40\n2026,A2,2026-05-05T08:15Z,red,2\n"})
	db := scratch(t)
	status, out, errs := runWithInput(t, "", "import", "--db", db, dir)
	if status != 0 || !strings.HasSuffix(out, "cultivar \"Amberlin\"\n") {
		t.Fatalf("got status %d, %q", status, out)
	}
	if !strings.HasPrefix(errs, "vinetally: stored, but see plant A1: On 5 May 2026, 40 red fruit were picked") || strings.Count(errs, "\n") != 1 {
		t.Errorf("the warnings are %q, want one, of A1", errs)
	}
	if status, _, errs := runWithInput(t, "", "import", "--db", db, dir); status != 0 || errs != "" {
		t.Errorf("imported again: status %d, %q", status, errs)
	}
}

func TestProgressLines(t *testing.T) {
	for _, c := range []struct {
		name          string
		p             csvfile.Progress
		inFile, inAll time.Duration
		want          string
	}{
		{"size known", csvfile.Progress{File: "counts.csv", Rows: 1_240_000, Read: 250, Size: 1000, Total: 1000}, 10 * time.Second, 10 * time.Second,
			"counts.csv: 1,240,000 rows, 25 %, 124,000 rows a second, about 30s left"},
		{"after others", csvfile.Progress{File: "counts.csv", Rows: 50_000, Read: 100, Size: 400, Before: 100, Total: 500}, 5 * time.Second, 10 * time.Second,
			"counts.csv: 50,000 rows, 25 %, 10,000 rows a second, about 15s left"},
		{"size not known", csvfile.Progress{File: "counts.csv", Rows: 500, Read: 100}, 5 * time.Second, 5 * time.Second, "counts.csv: 500 rows, 100 rows a second"},
		{"grown since", csvfile.Progress{File: "counts.csv", Rows: 500, Read: 1100, Size: 1000, Total: 1000}, 5 * time.Second, 5 * time.Second,
			"counts.csv: 500 rows, 100 %, 100 rows a second, about 0s left"},
	} {
		if got := progressLine(c.p, c.inFile, c.inAll); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// A pipe gets a line now and then, a terminal one line over and over, a short import nothing.
func TestProgressPauses(t *testing.T) {
	for _, terminal := range []bool{false, true} {
		var b strings.Builder
		at := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
		r := &reporter{w: &b, pause: 10 * time.Second, terminal: terminal, now: func() time.Time { return at }, start: at, last: at}
		for i := range 25 {
			at = at.Add(time.Second)
			r.tell(csvfile.Progress{File: "counts.csv", Rows: 100 * (i + 1)})
		}
		r.done()
		want := "counts.csv: 1,000 rows, 100 rows a second\ncounts.csv: 2,000 rows, 100 rows a second\n"
		if terminal {
			want = "\r\x1b[Kcounts.csv: 1,000 rows, 100 rows a second\r\x1b[Kcounts.csv: 2,000 rows, 100 rows a second\r\x1b[K"
		}
		if b.String() != want {
			t.Errorf("terminal %t: got %q, want %q", terminal, b.String(), want)
		}
	}
}
