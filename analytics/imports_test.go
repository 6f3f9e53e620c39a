package analytics_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/parser"
	"go/token"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "vinetally"

// layer is one row of the table of imports. Paths end in /... for themselves and all below; every path named must exist.
type layer struct {
	of string
	// ours and third are the only packages of the module, and of others, that its files may import themselves. The
	// standard library is free but for never.
	ours, third []string
	// never may not be reached, whether by its own imports or by those of what it imports, but for those that are free;
	// packages of the standard library may not be imported directly.
	never []forbidden
	free  []string
}

type forbidden struct{ path, why string }

// The table. Dependencies point inwards: crop knows nobody, cmd knows all.
var layers = []layer{
	{
		of: "analytics/...", ours: []string{"analytics/..."}, third: []string{"gonum.org/v1/gonum/...", "golang.org/x/text/unicode/norm"},
		never: []forbidden{
			{"vinetally/storage/...", "analytics are functions of a loaded season and never fetch"},
			{"vinetally/api/...", "analytics don't know who asks"},
			{"vinetally/charts/...", "what is drawn depends on results, never the other way round"},
			{"vinetally/cmd/...", "nothing imports a program"},
			{"github.com/gin-gonic/gin/...", "HTTP stays in api"},
			{"gorm.io/gorm/...", "the database stays in storage"},
			{"github.com/go-echarts/go-echarts/v2/...", "drawing stays in charts"},
			{"net/...", "the same input must give the same output, with the network off"},
			{"os/...", "no files, no environment: what is needed is handed in"},
			{"log/...", "an analysis answers with warnings, it doesn't talk on the side"},
			{"database/sql/...", "the database stays in storage"},
			{"crypto/rand", "randomness is handed in, with its seed"},
		},
	},
	{
		of: "storage/...", ours: []string{"storage/...", "analytics/crop"},
		third: []string{
			"gorm.io/gorm/...", "gorm.io/driver/sqlite", "github.com/mattn/go-sqlite3", "modernc.org/sqlite/...", "github.com/pressly/goose/v3/...",
			"github.com/google/uuid",
		},
		never: []forbidden{
			{"vinetally/api/...", "the store doesn't know who asks"},
			{"vinetally/charts/...", "the store doesn't draw"},
			{"vinetally/analytics/ledger", "the store keeps records and computes nothing from them"},
			{"vinetally/analytics/curve", "the store keeps records and computes nothing from them"},
			{"vinetally/analytics/report", "the store keeps records and computes nothing from them"},
			{"github.com/gin-gonic/gin/...", "HTTP stays in api"},
			{"github.com/go-echarts/go-echarts/v2/...", "drawing stays in charts"},
		},
	},
	{
		of: "charts/...", ours: []string{"charts/...", "analytics/..."}, third: []string{"github.com/go-echarts/go-echarts/v2/..."},
		never: []forbidden{
			{"vinetally/storage/...", "charts get finished results"},
			{"vinetally/api/...", "charts write to an io.Writer, whoever serves it"},
			{"github.com/gin-gonic/gin/...", "HTTP stays in api"},
			{"gorm.io/gorm/...", "the database stays in storage"},
		},
	},
	{
		of: "api/...", ours: []string{"api/...", "analytics/...", "charts"}, third: []string{"..."},
		never: []forbidden{
			{"vinetally/storage/...", "api declares the store that it needs, and a program hands it one"},
			{"gorm.io/gorm/...", "the database stays in storage"},
			{"database/sql/...", "the database stays in storage"},
		},
	},
	{
		of: "cmd/...", ours: []string{"..."}, third: []string{"..."},
		never: []forbidden{
			{"database/sql/...", "a program wires things up; SQL stays in storage"},
			{"html/template", "a program wires things up; pages stay in charts and api"},
		},
	},
	{
		of: "testdata/...", ours: []string{"testdata/...", "analytics/simulate"},
		never: []forbidden{
			{"vinetally/analytics/...", "the invented trial owes nothing to the code that is tried on it"},
			{"vinetally/api/...", "the invented trial owes nothing to the code that is tried on it"},
			{"vinetally/storage/...", "the invented trial owes nothing to the code that is tried on it"},
		},
		free: []string{"vinetally/analytics/simulate", "vinetally/analytics/crop"}, // the world of its fruit, and the words that it speaks
	},
}

// supports are packages that serve tests alone. They may use what tests may use, and only tests and each other may import
// them.
var supports = []forbidden{
	{"analytics/internal/refcheck", "reads the files of reference values"},
	{"analytics/ledger/ledgertest", "reads the scripts of hand-worked ledgers"},
	{"storage/storagetest", "the suite that every database must pass"},
	{"testdata/demoseasons", "loads the demo trial's seasons"},
	{"charts/browsertest", "drives the browser that looks at the pages"},
}

// pkg is a package of the module: what its files import for any system, and all that it reaches on this one.
type pkg struct {
	path    string // without the module
	dir     string
	imports []string
	deps    []string
}

func load(t *testing.T) []pkg {
	t.Helper()
	root := strings.TrimSpace(output(t, ".", "go", "list", "-m", "-f", "{{.Dir}}"))
	wanted := []string{"list", "-e", "-json=ImportPath,Dir,Deps", "./..."}
	for _, path := range unlisted {
		wanted = append(wanted, "./"+path)
	}
	list := json.NewDecoder(strings.NewReader(output(t, root, "go", wanted...)))
	var all []pkg
	for {
		var p struct {
			ImportPath, Dir string
			Deps            []string
		}
		if err := list.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		imports := importsOf(t, p.Dir)
		all = append(all, pkg{path: strings.TrimPrefix(p.ImportPath, module+"/"), dir: p.Dir, imports: imports, deps: p.Deps})
	}
	return all
}

func output(t *testing.T, dir, name string, args ...string) string {
	t.Helper()
	command := exec.Command(name, args...)
	command.Dir = dir
	var complaint bytes.Buffer
	command.Stderr = &complaint
	out, err := command.Output()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, &complaint)
	}
	return string(out)
}

// sources are the files of a package that aren't tests, for whatever system they are.
func sources(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, e := range entries {
		if name := e.Name(); strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go") {
			files = append(files, filepath.Join(dir, name))
		}
	}
	return files
}

func importsOf(t *testing.T, dir string) []string {
	t.Helper()
	var paths []string
	for _, file := range sources(t, dir) {
		f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, spec := range f.Imports {
			path, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			paths = append(paths, path)
		}
	}
	slices.Sort(paths)
	return slices.Compact(paths)
}

// matches tells whether a path is the pattern or, where that ends in /..., below it.
func matches(pattern, path string) bool {
	if pattern == "..." {
		return true
	}
	base, below := strings.CutSuffix(pattern, "/...")
	return path == base || below && strings.HasPrefix(path, base+"/")
}

func matchesAny(patterns []string, path string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool { return matches(p, path) })
}

// standard tells whether a path is of the standard library, which has no dot in its first part.
func standard(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	return !strings.Contains(first, ".") && first != module
}

func support(path string) bool {
	return slices.ContainsFunc(supports, func(s forbidden) bool { return s.path == path })
}

// breaches lists how a package breaks its layer's row.
func breaches(l *layer, p *pkg) []string {
	var found []string
	for _, path := range p.imports {
		ours, isOurs := strings.CutPrefix(path, module+"/")
		switch {
		case isOurs && support(ours):
			found = append(found, fmt.Sprintf("imports %s, which serves tests alone", path))
		case isOurs && ours == "testdata" && matches("cmd/...", p.path): // the demo's embedded files
		case isOurs && !matchesAny(l.ours, ours):
			found = append(found, fmt.Sprintf("imports %s; of ours it may import %s", path, strings.Join(l.ours, ", ")))
		case !isOurs && !standard(path) && !matchesAny(l.third, path):
			found = append(found, fmt.Sprintf("imports %s; of others it may import %s", path, strings.Join(l.third, ", ")))
		}
	}
	for _, never := range l.never {
		reached := p.deps
		if standard(strings.TrimSuffix(never.path, "/...")) {
			reached = p.imports
		}
		for _, path := range append(slices.Clone(p.imports), reached...) {
			if matches(never.path, path) && !matchesAny(l.free, path) {
				found = append(found, fmt.Sprintf("reaches %s: %s", path, never.why))
			}
		}
	}
	slices.Sort(found)
	return slices.Compact(found)
}

// TestImports holds every package to the table.
func TestImports(t *testing.T) {
	for _, p := range load(t) {
		if p.path == "analytics" || support(p.path) {
			continue
		}
		i := slices.IndexFunc(layers, func(l layer) bool { return matches(l.of, p.path) })
		if i < 0 {
			t.Errorf("%s belongs to no layer; give it a row in the table", p.path)
			continue
		}
		for _, breach := range breaches(&layers[i], &p) {
			t.Errorf("%s %s", p.path, breach)
		}
	}
}

// TestTableIsCurrent: a path in the table that no longer exists guards nothing, and fails.
func TestTableIsCurrent(t *testing.T) {
	all := load(t)
	ours := func(pattern string) bool {
		return pattern == "..." || slices.ContainsFunc(all, func(p pkg) bool { return matches(pattern, p.path) })
	}
	modules := strings.Fields(output(t, ".", "go", "list", "-m", "-f", "{{.Path}}", "all"))
	library := strings.Fields(output(t, ".", "go", "list", "std"))
	exists := func(pattern string) bool {
		base := strings.TrimSuffix(pattern, "/...")
		if path, ok := strings.CutPrefix(pattern, module+"/"); ok {
			return ours(path)
		}
		if standard(base) {
			return slices.Contains(library, base)
		}
		return pattern == "..." || slices.ContainsFunc(modules, func(m string) bool { return base == m || strings.HasPrefix(base, m+"/") })
	}
	for _, l := range layers {
		for _, pattern := range append([]string{l.of}, l.ours...) {
			if !ours(pattern) {
				t.Errorf("layer %s names %s, which is no package of ours any more", l.of, pattern)
			}
		}
		for _, pattern := range l.free {
			if !exists(pattern) {
				t.Errorf("layer %s leaves %s free, which exists no more", l.of, pattern)
			}
		}
		for _, pattern := range l.third {
			if !exists(pattern) {
				t.Errorf("layer %s allows %s, which isn't among the modules any more", l.of, pattern)
			}
		}
		for _, never := range l.never {
			if !exists(never.path) || never.why == "" {
				t.Errorf("layer %s forbids %s (%s), which exists no more or has no reason", l.of, never.path, never.why)
			}
		}
	}
	for _, s := range supports {
		if !ours(s.path) || s.why == "" {
			t.Errorf("%s (%s) is listed as serving tests, but exists no more or has no reason", s.path, s.why)
		}
	}
}

// TestBreachesAreFound: the check itself can fail.
func TestBreachesAreFound(t *testing.T) {
	for _, c := range []struct {
		name string
		p    pkg
		want string
	}{
		{"the file system", pkg{path: "analytics/x", imports: []string{"os"}}, "no files"},
		{"below a forbidden path", pkg{path: "analytics/x", imports: []string{"net/http"}}, "network off"},
		{"reached through another", pkg{path: "analytics/x", deps: []string{"gorm.io/gorm/clause"}}, "stays in storage"},
		{"the standard library through another is free", pkg{path: "analytics/x", imports: []string{"fmt"}, deps: []string{"os"}}, ""},
		{"another module", pkg{path: "analytics/x", imports: []string{"example.org/fast"}}, "of others it may import"},
		{"gonum", pkg{path: "analytics/x", imports: []string{"gonum.org/v1/gonum/mat"}}, ""},
		{"a package of a test", pkg{path: "analytics/x", imports: []string{"vinetally/analytics/ledger/ledgertest"}}, "serves tests alone"},
		{"more analytics than crop", pkg{path: "storage", imports: []string{"vinetally/analytics/yield"}}, "of ours it may import"},
		{"crop", pkg{path: "storage", imports: []string{"vinetally/analytics/crop"}}, ""},
		{"the store from api", pkg{path: "api/x", imports: []string{"vinetally/storage"}}, "declares the store"},
		{"SQL in a program", pkg{path: "cmd/x", imports: []string{"database/sql"}}, "SQL stays in storage"},
		{"the simulator of fruit", pkg{path: "testdata/demotrial", imports: []string{"vinetally/analytics/simulate"}, deps: []string{"vinetally/analytics/simulate", "vinetally/analytics/crop"}}, ""},
		{"a calculation through the simulator", pkg{path: "testdata/demotrial", deps: []string{"vinetally/analytics/ledger"}}, "owes nothing to the code"},
		{"how the simulator is scored", pkg{path: "testdata/demotrial", deps: []string{"vinetally/analytics/simulate/scoring"}}, "owes nothing to the code"},
		{"a name that only begins alike", pkg{path: "analytics/x", imports: []string{"netip"}}, ""},
	} {
		i := slices.IndexFunc(layers, func(l layer) bool { return matches(l.of, c.p.path) })
		got := strings.Join(breaches(&layers[i], &c.p), "; ")
		if (c.want == "") != (got == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}
