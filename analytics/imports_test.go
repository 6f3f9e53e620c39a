package analytics

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// rule says what a package's non-test code may import beside the standard library, and why nothing more.
type rule struct {
	ours    []string // packages of this module, by their path below it
	modules []string // prefixes of third-party packages
	why     string
}

const gonum = "gonum.org/v1/gonum"

// rules is the table of DEVELOPERS.md. A package that isn't here, or that is here and no longer exists, fails the test.
var rules = map[string]rule{
	"analytics":                   {why: "it is the map, it does nothing"},
	"analytics/crop":              {why: "everybody speaks its words, so it knows nobody"},
	"analytics/ledger":            {ours: []string{"analytics/crop"}, why: "arithmetic of records"},
	"analytics/ledger/ledgertest": {ours: []string{"analytics/crop"}, why: "reads the hand-worked ledgers for tests"},
	"analytics/pastripe":          {ours: []string{"analytics/crop", "analytics/ledger"}, why: "arithmetic on the ledger"},
	"analytics/yield":             {ours: []string{"analytics/crop"}, why: "arithmetic of records"},
	"analytics/estimate":          {modules: []string{gonum}, why: "it knows float64 alone"},
	"analytics/curve":             {ours: []string{"analytics/crop", "analytics/ledger", "analytics/estimate"}, modules: []string{gonum}, why: "it turns ledgers into fits"},
	"analytics/report": {ours: []string{"analytics/crop", "analytics/ledger", "analytics/pastripe", "analytics/yield", "analytics/curve"},
		why: "it brings the analytics together and fits nothing itself"},
	"analytics/internal/refcheck": {modules: []string{"github.com/google/go-cmp"}, why: "it serves tests of any analytics package"},
	"storage": {ours: []string{"analytics/crop"}, modules: []string{"gorm.io/", "github.com/pressly/goose", "github.com/mattn/go-sqlite3", "modernc.org/sqlite", "github.com/google/uuid"},
		why: "it keeps records and computes nothing from them"},
	"storage/storagetest": {ours: []string{"analytics/crop", "storage"}, modules: []string{"pgregory.net/rapid", "github.com/google/go-cmp"}, why: "any store must pass it"},
	"api": {ours: []string{"analytics/crop", "analytics/ledger", "analytics/pastripe", "analytics/curve", "analytics/report", "charts"},
		modules: []string{"github.com/gin-gonic/gin", "github.com/go-json-experiment/json", "github.com/klauspost/compress"}, why: "it declares the store it needs and never sees the database"},
	"api/csvfile": {ours: []string{"analytics/crop"}, modules: []string{"golang.org/x/text"}, why: "it declares the store it needs and never sees the database"},
	"charts": {ours: []string{"analytics/crop", "analytics/ledger", "analytics/curve", "analytics/pastripe", "analytics/report", "analytics/yield"},
		modules: []string{"github.com/go-echarts/go-echarts"}, why: "it formats finished results"},
	"charts/browsertest": {modules: []string{"github.com/chromedp/"}, why: "it opens pages for tests"},
	"cmd/vinetally": {ours: []string{"analytics/crop", "analytics/report", "api", "api/csvfile", "charts", "storage", "testdata"},
		modules: []string{"github.com/alecthomas/kong"}, why: "it wires, and computes nothing"},
}

// forbidden are standard packages that would make an analytics package depend on more than its arguments.
var forbidden = map[string]string{
	"net": "analytics talk to nobody", "net/http": "analytics talk to nobody", "os": "analytics read no files and no environment",
	"os/exec": "analytics start nothing", "log": "analytics return what they have to say", "log/slog": "analytics return what they have to say",
	"database/sql": "analytics get loaded records", "crypto/rand": "randomness is handed in", "syscall": "analytics know no machine",
}

// testSupport is analytics code that only tests use, which may read files.
var testSupport = []string{"analytics/internal/refcheck", "analytics/ledger/ledgertest"}

type listed struct {
	ImportPath, Dir string
	GoFiles         []string
	Imports         []string
}

func packages(t *testing.T) []listed {
	t.Helper()
	command := exec.Command("go", "list", "-json=ImportPath,Dir,GoFiles,Imports", "./...")
	command.Dir = ".."
	out, err := command.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

func TestImports(t *testing.T) {
	found := map[string]bool{}
	for _, p := range packages(t) {
		name := strings.TrimPrefix(p.ImportPath, "vinetally/")
		found[name] = true
		r, ok := rules[name]
		if !ok {
			t.Errorf("%s isn't in the table of imports; add it there and in DEVELOPERS.md", name)
			continue
		}
		for _, imported := range p.Imports {
			checkImport(t, name, imported, r)
		}
	}
	for name := range rules {
		if !found[name] {
			t.Errorf("%s is in the table of imports and doesn't exist", name)
		}
	}
}

func checkImport(t *testing.T, name, imported string, r rule) {
	t.Helper()
	if ours, ok := strings.CutPrefix(imported, "vinetally/"); ok {
		if !slices.Contains(r.ours, ours) {
			t.Errorf("%s imports %s: %s", name, ours, r.why)
		}
		return
	}
	if first, _, _ := strings.Cut(imported, "/"); strings.Contains(first, ".") {
		if !slices.ContainsFunc(r.modules, func(prefix string) bool { return strings.HasPrefix(imported, prefix) }) {
			t.Errorf("%s imports %s: %s", name, imported, r.why)
		}
		return
	}
	if why, bad := forbidden[imported]; bad && pure(name) {
		t.Errorf("%s imports %s: %s", name, imported, why)
	}
}

func pure(name string) bool {
	return strings.HasPrefix(name, "analytics") && !slices.Contains(testSupport, name)
}

// TestNoClockNoLuck finds calls of the clock and of the global random source in analytics code.
func TestNoClockNoLuck(t *testing.T) {
	clock := []string{"Now", "Since", "Until", "After", "Tick", "NewTimer", "NewTicker", "Sleep"}
	own := []string{"New", "NewPCG", "NewChaCha8", "NewSource", "NewZipf", "Rand", "Source", "PCG", "ChaCha8", "Zipf"}
	files := 0
	for _, p := range packages(t) {
		if !pure(strings.TrimPrefix(p.ImportPath, "vinetally/")) {
			continue
		}
		for _, file := range p.GoFiles {
			files++
			path := filepath.Join(p.Dir, file)
			for _, use := range selectors(t, path) {
				if use.pkg == "time" && slices.Contains(clock, use.name) {
					t.Errorf("%s uses time.%s: the present is handed in", path, use.name)
				}
				if strings.HasPrefix(use.pkg, "math/rand") && !slices.Contains(own, use.name) {
					t.Errorf("%s uses %s.%s, the global random source: randomness is handed in", path, use.pkg, use.name)
				}
			}
		}
	}
	if files < 50 {
		t.Errorf("looked at %d files of analytics code; there are more", files)
	}
}

type selector struct{ pkg, name string }

// selectors returns every use of a name of an imported package.
func selectors(t *testing.T, path string) []selector {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	imports := map[string]string{}
	for _, i := range file.Imports {
		full, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			t.Fatal(err)
		}
		local := filepath.Base(full)
		if local == "v2" {
			local = filepath.Base(filepath.Dir(full))
		}
		if i.Name != nil {
			local = i.Name.Name
		}
		imports[local] = full
	}
	var uses []selector
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && imports[x.Name] != "" {
				uses = append(uses, selector{imports[x.Name], s.Sel.Name})
			}
		}
		return true
	})
	return uses
}
