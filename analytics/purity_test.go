package analytics_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// impure lists, by package, what makes an answer depend on when or how often it is asked for: the clock, and the global
// source of randomness. Of a random package only what makes a source of one's own, with a seed, is allowed.
var (
	clock     = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer", "Local"}
	ownSource = []string{"New", "NewSource", "NewPCG", "NewChaCha8", "NewZipf", "Rand", "Source", "Source64", "PCG", "ChaCha8", "Zipf"}
)

func impure(importPath, name string) bool {
	switch importPath {
	case "time":
		return slices.Contains(clock, name)
	case "math/rand", "math/rand/v2":
		return !slices.Contains(ownSource, name)
	}
	return false
}

// impurities finds every use of the clock or the global random source in a file, under whatever name it is imported.
func impurities(set *token.FileSet, f *ast.File) []string {
	names := map[string]string{}
	var found []string
	for _, spec := range f.Imports {
		importPath, _ := strconv.Unquote(spec.Path.Value)
		name := path.Base(importPath)
		if name == "v2" {
			name = path.Base(path.Dir(importPath))
		}
		if spec.Name != nil {
			name = spec.Name.Name
		}
		if name == "." && (importPath == "time" || strings.HasPrefix(importPath, "math/rand")) {
			found = append(found, fmt.Sprintf("%s: imports %s without a name", set.Position(spec.Pos()), importPath))
		}
		names[name] = importPath
	}
	ast.Inspect(f, func(n ast.Node) bool {
		if selector, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := selector.X.(*ast.Ident); ok && impure(names[x.Name], selector.Sel.Name) {
				found = append(found, fmt.Sprintf("%s: %s.%s", set.Position(x.Pos()), names[x.Name], selector.Sel.Name))
			}
		}
		return true
	})
	return found
}

// TestPure: no analytics code, tests aside, asks the clock or the global source of randomness.
func TestPure(t *testing.T) {
	files := 0
	for _, p := range load(t) {
		if !matches("analytics/...", p.path) || support(p.path) {
			continue
		}
		for _, file := range sources(t, p.dir) {
			set := token.NewFileSet()
			f, err := parser.ParseFile(set, file, nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			for _, use := range impurities(set, f) {
				t.Errorf("%s: hand it in as an argument", use)
			}
			files++
		}
	}
	if files < 20 {
		t.Errorf("only %d files were read; the packages are not where this test looks", files)
	}
}

// TestImpuritiesAreFound: the scan itself can fail.
func TestImpuritiesAreFound(t *testing.T) {
	for _, c := range []struct {
		name, imports, body string
		want                int
	}{
		{"the clock", `"time"`, "time.Now()", 1},
		{"the clock under another name", `clock "time"`, "clock.Since(x)", 1},
		{"the clock as a value", `"time"`, "f(time.Now)", 1},
		{"the machine's zone", `"time"`, "x.In(time.Local)", 1},
		{"a time that is handed in", `"time"`, "time.Unix(0, 0)", 0},
		{"something else called time", `"fmt"`, "time.Now()", 0},
		{"the global source", `"math/rand/v2"`, "rand.IntN(6)", 1},
		{"the older global source", `"math/rand"`, "rand.Seed(1)", 1},
		{"a source of one's own", `"math/rand/v2"`, "rand.New(rand.NewPCG(1, 2)).IntN(6)", 0},
		{"without a name", `. "time"`, "Now()", 1},
	} {
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, "x.go", "package x\nimport "+c.imports+"\nvar _ = "+c.body, 0)
		if err != nil {
			t.Fatal(err)
		}
		if got := impurities(set, f); len(got) != c.want {
			t.Errorf("%s: found %v, want %d", c.name, got, c.want)
		}
	}
}
