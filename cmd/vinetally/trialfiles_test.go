package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// csvTrial writes a season of an invented trial as CSV files, every row with its id, so that what is exported is the same
// whenever it was imported. An edition is the same rows with other numbers.
type csvTrial struct {
	season, edition int
	plants, visits  int // visits of each plant
}

func (c csvTrial) id(kind, n int) string {
	return fmt.Sprintf("%08x-%04x-4000-8000-%012x", 0xf11e0000+kind, c.season, n+1)
}

func (c csvTrial) write(t *testing.T) string {
	t.Helper()
	rng := rand.New(rand.NewPCG(uint64(c.season), uint64(c.edition)))
	files := map[string]*strings.Builder{}
	line := func(file, format string, args ...any) {
		if files[file] == nil {
			files[file] = new(strings.Builder)
		}
		fmt.Fprintf(files[file], format+"\n", args...)
	}
	season := fmt.Sprintf("Trial %d (invented)", c.season)
	line("seasons.csv", "id,season\n%s,%s", c.id(1, 0), season)
	line("places.csv", "id,place\n%s,Bench %d", c.id(2, 0), c.season)
	line("cultivars.csv", "id,cultivar\n%s,Pip %d (invented)", c.id(3, 0), c.season)
	line("plants.csv", "id,season,place,cultivar,plant,sown_on")
	line("counts.csv", "id,season,plant,counted_at,green,breaker,turning,red")
	line("pickings.csv", "id,season,plant,picked_at,stage,fruits,mass_g")
	line("temperatures.csv", "id,place,measured_at,air_c")
	for p := range c.plants {
		line("plants.csv", "%s,%s,Bench %d,Pip %d (invented),P%d,2025-01-01", c.id(4, p), season, c.season, c.season, p)
		for v := range c.visits {
			n, at := p*c.visits+v, fmt.Sprintf("2025-%02d-%02dT%02d:%02d:00Z", 3+v/560, 1+v/20%28, v%20, p%60)
			line("counts.csv", "%s,%s,P%d,%s,%d,%d,%d,%d", c.id(5, n), season, p, at, rng.IntN(60), rng.IntN(9), rng.IntN(9), rng.IntN(9))
			if v%10 == 0 {
				line("pickings.csv", "%s,%s,P%d,%s,red,%d,%d", c.id(6, n), season, p, at, 1+rng.IntN(5), 10+rng.IntN(90))
			}
		}
	}
	for n := range c.visits {
		line("temperatures.csv", "%s,Bench %d,2025-%02d-%02dT%02d:00:00Z,%d.5", c.id(7, n), c.season, 3+n/560, 1+n/20%28, n%20, 10+rng.IntN(20))
	}
	texts := map[string]string{}
	for name, b := range files {
		texts[name] = b.String()
	}
	return folder(t, texts)
}

// importArgs is the command line that imports a folder of an edition.
func (c csvTrial) importArgs(db, dir string) []string {
	args := []string{"import", "--db", db, dir}
	if c.edition > 0 {
		args = append(args, "--replace")
	}
	return args
}

// exported is what a database exports, file by file.
func exported(t *testing.T, db string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "export")
	wantFinished(t, "export", "--db", db, dir)
	defer os.RemoveAll(dir)
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for _, f := range files {
		text, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&all, "== %s\n%s", f.Name(), text)
	}
	return all.String()
}
