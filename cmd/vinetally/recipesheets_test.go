package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// importSheets imports the sheets that the documentation shows, as a spreadsheet saves them: with a byte-order mark,
// semicolons and CRLF. Then it does what the page says of going on, of exports and of what goes wrong.
func importSheets(t *testing.T, k *kitchen) {
	db := scratch(t)
	k.fetch(t, "plants.csv")
	counts := k.fetch(t, "counts.csv")
	if !strings.HasPrefix(counts, "\ufeffseason;plant;") || strings.Count(counts, "\r\n") != strings.Count(counts, "\n") {
		t.Fatalf("the sheet isn't as a spreadsheet saves it: %q", counts)
	}
	if out := wantDone(t, "import", "--db", db, k.dir); !strings.Contains(out, "counts.csv: 4 rows: 4 new") {
		t.Errorf("the import says %s", out)
	}
	if out := wantDone(t, "import", "--db", db, k.dir); !strings.Contains(out, "nothing new") {
		t.Errorf("the second import says %s", out)
	}

	exported := filepath.Join(t.TempDir(), "my-copy")
	wantDone(t, "export", "--db", db, exported)
	saved := filepath.Join(exported, "counts.csv")
	b, err := os.ReadFile(saved)
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	for _, want := range []string{"B1,2026-02-03T08:15:00Z,12,3,1,2,", "B1,2026-02-06,11,,,3,", ",'+2 behind a leaf\r\n"} {
		if !strings.Contains(text, want) {
			t.Errorf("the exported file lacks %q:\n%s", want, text)
		}
	}
	again := "\ufeff" + strings.ReplaceAll(text, ",", ";") // no cell of it holds a comma
	if err := os.WriteFile(saved, []byte(again), 0o644); err != nil {
		t.Fatal(err)
	}
	if out := wantDone(t, "import", "--db", db, saved); !strings.Contains(out, "nothing new") {
		t.Errorf("the export, saved by a spreadsheet and imported again, says %s", out)
	}

	sheet := func(file, text string) string { return filepath.Join(folder(t, map[string]string{file: text}), file) }
	corrected := sheet("counts.csv", strings.Replace(counts, ";12;3;1;2;", ";12;3;1;3;", 1))
	if status, _, errs := program(t, "import", "--db", db, corrected); status != exitRefused || !strings.Contains(errs, "--replace") {
		t.Errorf("a corrected row: status %d, %s", status, errs)
	}
	if out := wantDone(t, "import", "--db", db, "--replace", "--dry-run", corrected); !strings.Contains(out, "1 ") {
		t.Errorf("a dry run says %s", out)
	}
	if out := wantDone(t, "import", "--db", db, "--replace", corrected); strings.Contains(out, "nothing new") {
		t.Errorf("the corrected row is %s, so the dry run has stored it", out)
	}
	const pickings = "season;plant;picked_at;fruits;mass_g\r\nBalcony 2026 (invented);B1;2026-02-07;2;"
	for name, c := range map[string]struct{ path, says string }{
		"date turned round": {sheet("counts.csv", strings.ReplaceAll(counts, "2026-02-06", "06/02/2026")), "year first"},
		"decimal comma":     {sheet("pickings.csv", pickings+"61,5\r\n"), "decimal point"},
	} {
		status, _, errs := program(t, "import", "--db", db, c.path)
		if status != exitRefused || !strings.Contains(errs, c.says) || !strings.Contains(errs, filepath.Base(c.path)+":") {
			t.Errorf("%s: status %d, %s", name, status, errs)
		}
	}
	wantDone(t, "import", "--db", db, sheet("pickings.csv", pickings+"61.5\r\n"))
}
