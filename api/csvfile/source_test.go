package csvfile

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

func TestSources(t *testing.T) {
	dir := t.TempDir()
	write := func(names ...string) string {
		sub, err := os.MkdirTemp(dir, "d")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			if err := os.WriteFile(filepath.Join(sub, name), []byte("season\n"), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		return sub
	}
	all := "seasons.csv, places.csv, scales.csv, cultivars.csv, plants.csv, moves.csv, counts.csv, pickings.csv, losses.csv, temperatures.csv, diary.csv, germination.csv"
	good := write("Counts.CSV", "plants.csv", "notes.txt", ".hidden.csv")
	other := write("plants.csv", "weights.csv")
	empty := write("notes.txt")
	for _, c := range []struct {
		name    string
		paths   []string
		want    []string
		ignored []string
		err     string
	}{
		{"folder", []string{good}, []string{good + "/Counts.CSV", good + "/plants.csv"}, []string{good + "/.hidden.csv", good + "/notes.txt"}, ""},
		{"file", []string{good + "/plants.csv"}, []string{good + "/plants.csv"}, nil, ""},
		{"unknown file in a folder", []string{other}, nil, nil, other + "/weights.csv: the name doesn't say what is in it; call it one of " + all},
		{"unknown file", []string{good + "/notes.txt"}, nil, nil, good + "/notes.txt: the name doesn't say what is in it; call it one of " + all},
		{"nothing in a folder", []string{empty}, nil, nil, empty + ": holds none of the files that can be imported; they are " + all},
		{"no paths", nil, nil, nil, "nothing to import; name a folder with " + all + ", or single files of these names"},
		{"no such path", []string{dir + "/none"}, nil, nil, "read what to import: stat " + dir + "/none: no such file or directory; name a folder of CSV files, or single ones"},
	} {
		t.Run(c.name, func(t *testing.T) {
			sources, ignored, err := Sources(c.paths...)
			if got := errorText(err); got != c.err {
				t.Errorf("error: got %q, want %q", got, c.err)
			}
			var names []string
			for _, s := range sources {
				names = append(names, s.Name)
			}
			if !slices.Equal(names, c.want) || !slices.Equal(ignored, c.ignored) {
				t.Errorf("got %v and ignored %v, want %v and %v", names, ignored, c.want, c.ignored)
			}
		})
	}
	t.Run("imported", func(t *testing.T) {
		sources, _, err := Sources(write("seasons.csv"))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Import(t.Context(), newMemory(), sources, options()); err != nil {
			t.Error(err)
		}
	})
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}
