package csvfile

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

func sameFiles(t testing.TB, got, want files) {
	t.Helper()
	for _, name := range Files() {
		if got[name] != want[name] {
			t.Errorf("%s: got\n%s\nwant\n%s", name, got[name], want[name])
		}
	}
	if len(got) != len(want) {
		t.Errorf("got %d files, want %d", len(got), len(want))
	}
}

func TestExportImportExportIsTheSame(t *testing.T) {
	m := newMemory()
	mustImport(t, m, full, options())
	first := readFiles(t, exportDir(t, m))
	second := newMemory()
	mustImport(t, second, first, options())
	sameFiles(t, readFiles(t, exportDir(t, second)), first)
	s := mustImport(t, second, first, options())
	if s.Changed() != 0 {
		t.Errorf("importing the export again changed records:\n%s", s)
	}
	for name, text := range full {
		if got, want := strings.Count(first[name], "\r\n"), strings.Count(text, "\n"); name != scalesFile && got != want {
			t.Errorf("%s: got %d lines, want %d", name, got, want)
		}
	}
}

func TestExportedText(t *testing.T) {
	m := newMemory()
	mustImport(t, m, full, options())
	got := readFiles(t, exportDir(t, m))
	for file, wants := range map[string][]string{
		"counts.csv": {
			"id,season,plant,counted_at,green,breaker,turning,red,breakers,pink,light red,pale,yellow,'=soft,total,truss,trusses_counted,trusses_total,at_least,about,observer,note\r\n",
			",2025,A1,2025-05-04T08:15:00+02:00,12,3,1,2,,,,,,,,,,,,,Inés,\r\n",
			",2025,A1,2025-06-04,9,0,0,0,,,,,,,,,,,yes,,,gave up\r\n",
			",spring 2026,'@home,2026-02-05,,,,,,,,,,,4,,,,,,'-me,\r\n",
			",\"'+two, \"\"quoted\"\"\r\nlines\"\r\n",
		},
		"plants.csv":       {",'=1+1\r\n", ",'tis late\r\n", ",''=x\r\n", "\"two of one pod\r\nparted\"\r\n"},
		"temperatures.csv": {"north bench,2025-10-26T02:00:00+02:00,11\r\n", "north bench,2025-10-26T02:00:00+01:00,10.5\r\n", ",-0.25\r\n", ",0.0000001\r\n"},
		"diary.csv":        {",2025,,2025-05-01,solution measured,1.8,6.1,18.5,,\r\n", ",2025,,2025-05-02T10:00:00Z,note,"},
	} {
		for _, want := range wants {
			if !strings.Contains(got[file], want) {
				t.Errorf("%s: want a line with %q, got\n%s", file, want, got[file])
			}
		}
	}
}

func TestExportOfAnEmptySite(t *testing.T) {
	got := readFiles(t, exportDir(t, newMemory()))
	want := files{
		"seasons.csv":      "id,season,first_day,last_day\r\n",
		"places.csv":       "id,place,time_zone\r\n",
		"scales.csv":       got["scales.csv"], // the shipped scales
		"cultivars.csv":    "id,cultivar,scale,hold_days,note\r\n",
		"plants.csv":       "id,season,place,cultivar,plant,sown_on,transplanted_on,removed_on,origin,lot,note\r\n",
		"moves.csv":        "id,season,plant,place,moved_on\r\n",
		"counts.csv":       "id,season,plant,counted_at,green,breaker,turning,red,total,truss,trusses_counted,trusses_total,at_least,about,observer,note\r\n",
		"pickings.csv":     "id,season,plant,place,cultivar,picked_at,stage,fruits,mass_g,weighing,grade,before_count,brix,taste,note\r\n",
		"losses.csv":       "id,season,plant,place,cultivar,lost_at,stage,fruits,cause,before_count,note\r\n",
		"temperatures.csv": "id,place,measured_at,air_c\r\n",
		"diary.csv":        "id,season,plant,noted_at,kind,ec_ds_m,ph,solution_c,pick_not_before,note\r\n",
		"germination.csv":  "id,season,cultivar,lot,sown_on,seeds,counted_on,emerged\r\n",
	}
	sameFiles(t, got, want)
	if n := strings.Count(got["scales.csv"], "\r\n"); n != 1+4+6 {
		t.Errorf("scales.csv: got %d lines, want the header and the stages of both shipped scales", n)
	}
	mustImport(t, newMemory(), got, options())
}

// A count may hold a stage that no scale in use has any more; its number must not get lost.
func TestExportKeepsStagesOutOfUse(t *testing.T) {
	m := newMemory()
	mustImport(t, m, files{"plants.csv": onePlant, "counts.csv": oneCount}, options())
	for _, id := range m.order {
		if v, ok := m.records[id].(*crop.Visit); ok {
			v.Counts["mauve"], v.Counts["amber"] = 4, 5
		}
	}
	got := readFiles(t, exportDir(t, m))["counts.csv"]
	if !strings.Contains(got, ",red,amber,mauve,total,") || !strings.Contains(got, ",12,3,,0,5,4,") {
		t.Errorf("got\n%s\nwant columns amber and mauve", got)
	}
}

func TestExportTarget(t *testing.T) {
	m := newMemory()
	export := func(dir string) error {
		_, err := Export(context.Background(), m, dir)
		return err
	}
	names := func(dir string) []string {
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, e := range entries {
			names = append(names, e.Name())
		}
		return names
	}
	want := slices.Sorted(slices.Values(Files()))

	t.Run("new", func(t *testing.T) {
		parent := t.TempDir()
		if err := export(filepath.Join(parent, "a", "b")); err != nil {
			t.Fatal(err)
		}
		if got := names(filepath.Join(parent, "a", "b")); !slices.Equal(got, want) {
			t.Errorf("got %v, want %v", got, want)
		}
		if got := names(filepath.Join(parent, "a")); len(got) != 1 {
			t.Errorf("beside the folder: got %v, want nothing left over", got)
		}
	})
	t.Run("empty", func(t *testing.T) {
		dir := t.TempDir()
		if err := export(dir); err != nil {
			t.Fatal(err)
		}
		if got := names(dir); !slices.Equal(got, want) {
			t.Errorf("got %v, want %v", got, want)
		}
	})
	t.Run("working folder", func(t *testing.T) {
		dir := t.TempDir()
		t.Chdir(dir)
		if err := export("."); err != nil {
			t.Fatal(err)
		}
		if got := names(dir); !slices.Equal(got, want) {
			t.Errorf("got %v, want %v", got, want)
		}
	})
	t.Run("not empty", func(t *testing.T) {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "x"), nil, 0o600); err != nil {
			t.Fatal(err)
		}
		err := export(dir)
		if want := dir + ": is not empty; name an empty folder, or one that doesn't exist yet"; err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
		if got := names(dir); len(got) != 1 {
			t.Errorf("got %v, want the folder untouched", got)
		}
	})
	t.Run("file in the way", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "x")
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := export(path); err == nil {
			t.Error("got no error for a file")
		}
	})
}

func TestExportLeavesNothingBehindOnFailure(t *testing.T) {
	parent := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Export(ctx, failing{newMemory()}, filepath.Join(parent, "out")); err == nil {
		t.Fatal("got no error")
	}
	if entries, _ := os.ReadDir(parent); len(entries) > 0 {
		t.Errorf("got %v left over, want nothing", entries)
	}
}

// failing is a store whose last answer fails.
type failing struct{ *memory }

func (f failing) Catalogue(ctx context.Context) (*crop.Catalogue, error) {
	if f.applied++; f.applied > 1 {
		return nil, context.Canceled
	}
	return f.memory.Catalogue(ctx)
}

func TestExportWhileTheSiteChanges(t *testing.T) {
	m := newMemory()
	_, err := Export(context.Background(), restless{m}, filepath.Join(t.TempDir(), "out"))
	if crop.CodeOf(err) != crop.Stale {
		t.Errorf("got %v, want stale", err)
	}
	if m.change != 2*maxAttempts {
		t.Errorf("got %d attempts, want %d", m.change/2, maxAttempts)
	}
}

// restless is a store that changes whenever one looks.
type restless struct{ *memory }

func (r restless) Catalogue(ctx context.Context) (*crop.Catalogue, error) {
	r.change++
	return r.memory.Catalogue(ctx)
}
