package refcheck

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func answer(got any) Handler {
	return func(File) ([]Answer, error) { return []Answer{{Got: got}}, nil }
}

func TestCheck(t *testing.T) {
	f := fileOf(`{"a": 1}`, 1e-6, 0)
	cases := []struct {
		name    string
		handler Handler
		fails   string
		line    string
	}{
		{"right", answer(tree{"a": 1}), "", "case: 1 quantities, at least 16.0 digits (a)"},
		{"wrong", answer(tree{"a": 2}), "case: a is 2, want 1", "case: 1 quantities, at least 0.0 digits (a)"},
		{"error", func(File) ([]Answer, error) { return nil, errors.New("no fit") }, "case: no fit", ""},
		{"no answer", func(File) ([]Answer, error) { return nil, nil }, "gave no answer", ""},
		{"one of two wrong", func(File) ([]Answer, error) {
			return []Answer{{Label: "start1", Got: tree{"a": 1}}, {Label: "start2", Got: tree{"a": 3}}}, nil
		}, "case start2: a is 3", "case start1: 1 quantities"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			lines, failures := check(f, c.handler)
			if c.fails == "" && len(failures) > 0 || c.fails != "" && (len(failures) != 1 || !strings.Contains(failures[0], c.fails)) {
				t.Errorf("got failures %q, want %q", failures, c.fails)
			}
			if c.line != "" && (len(lines) == 0 || !strings.HasPrefix(lines[0], c.line)) {
				t.Errorf("got lines %q, want %q", lines, c.line)
			}
		})
	}
}

func TestSummaryCountsOwnOthersAndAbsent(t *testing.T) {
	registry := map[string]string{"ours": "analytics/a", "theirs": "analytics/b"}
	files := []File{{Method: "ours"}, {Method: "ours"}, {Method: "theirs"}, {Method: "far"}, {Method: "far"}, {Method: "near"}}
	list, summary := summarise(files, registry, "analytics/a")
	want := "6 reference files: 2 checked by analytics/a, 1 left to the tests of other packages, 3 of 2 methods that the product hasn't got"
	if summary != want {
		t.Errorf("got %q, want %q", summary, want)
	}
	if len(list) != 2 || !strings.HasSuffix(list[0], "far (2)") || !strings.HasSuffix(list[1], "near (1)") {
		t.Errorf("got %q, want far (2) and near (1)", list)
	}
}

func TestHandlersMustMatchTheRegistry(t *testing.T) {
	registry := map[string]string{"ours": "analytics/a", "ours too": "analytics/a", "theirs": "analytics/b"}
	h := answer(nil)
	if got := mismatches(registry, "analytics/a", map[string]Handler{"ours": h, "ours too": h}); len(got) != 0 {
		t.Errorf("matching handlers: got %q", got)
	}
	got := mismatches(registry, "analytics/a", map[string]Handler{"ours": h, "theirs": h, "nobody's": h})
	if len(got) != 3 || !strings.Contains(got[0], `"ours too"`) || !strings.Contains(got[1], `"nobody's"`) || !strings.Contains(got[2], `"theirs"`) {
		t.Errorf("got %q, want one about each of three methods", got)
	}
	if got := unseen([]File{{Method: "ours"}}, map[string]Handler{"ours": h, "ours too": h}); !slices.Equal(got, []string{"ours too"}) {
		t.Errorf("methods without a file: got %q, want ours too", got)
	}
}

// The registry says what the product has; each package that it names must have a test that runs its methods.
func TestEveryOwnerRunsItsMethods(t *testing.T) {
	root, err := moduleRoot()
	if err != nil {
		t.Fatal(err)
	}
	for method, pkg := range owners {
		tests, err := filepath.Glob(filepath.Join(root, pkg, "*_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(tests, func(path string) bool {
			content, err := os.ReadFile(path)
			return err == nil && strings.Contains(string(content), `refcheck.Run(t, "`+pkg+`"`) && strings.Contains(string(content), "func TestReference")
		}) {
			t.Errorf("%s owns %q but no test of it calls refcheck.Run", pkg, method)
		}
	}
}

func TestLoadRefusesFaultyFolders(t *testing.T) {
	const good = `{"id": "a", "method": "m", "data": {}, "expected": {"v": 1}, "tolerance": {"rel": 1e-6}}`
	cases := []struct {
		name  string
		files map[string]string
		fails string
	}{
		{"good", map[string]string{"a.json": good, "readme.md": "text"}, ""},
		{"no files", nil, "has none"},
		{"id of another file", map[string]string{"b.json": good}, `id is "a"`},
		{"not JSON", map[string]string{"a.json": "{"}, "a.json"},
		{"no method", map[string]string{"a.json": `{"id": "a", "data": {}, "expected": {}}`}, "must all be given"},
		{"no expected", map[string]string{"a.json": `{"id": "a", "method": "m", "data": {}}`}, "must all be given"},
		{"tolerance that accepts anything", map[string]string{"a.json": strings.Replace(good, "1e-6", "1", 1)}, "nor rel above 0.01"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			for name, content := range c.files {
				if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			_, err := Load(dir)
			if c.fails == "" && err != nil || c.fails != "" && (err == nil || !strings.Contains(err.Error(), c.fails)) {
				t.Errorf("got %v, want %q", err, c.fails)
			}
		})
	}
	if _, err := Load(filepath.Join(t.TempDir(), "absent")); err == nil {
		t.Error("an absent folder: got no error")
	}
}

func TestDecodeRefusesInputThatTheHandlerDoesNotKnow(t *testing.T) {
	f := File{ID: "a", Data: []byte(`{"x": [1], "censored": [true]}`)}
	var in struct{ X []float64 }
	if err := f.Decode(&in); err == nil || !strings.Contains(err.Error(), "censored") {
		t.Errorf("got %v, want an error about censored", err)
	}
}

// Run itself, on a folder of its own with one method of this product and one that it hasn't got.
func TestRunReadsTheFolderOfTheVariable(t *testing.T) {
	dir := t.TempDir()
	for id, method := range map[string]string{"mine": "growth-model comparison (AICc weights)", "later": "reading tea leaves"} {
		content := `{"id": "` + id + `", "method": "` + method + `", "data": {}, "expected": {"v": 1}, "tolerance": {"rel": 1e-6}}`
		if err := os.WriteFile(filepath.Join(dir, id+".json"), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv(FolderVariable, dir)
	var ran []string
	h := func(f File) ([]Answer, error) {
		ran = append(ran, f.ID)
		return []Answer{{Got: tree{"v": 1}}}, nil
	}
	handlers := map[string]Handler{}
	for _, m := range ownedBy(owners, "analytics/estimate") {
		handlers[m] = h
	}
	Run(t, "analytics/estimate", handlers)
	if !slices.Equal(ran, []string{"mine"}) {
		t.Errorf("ran %q, want mine alone", ran)
	}
}
