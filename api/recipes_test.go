package api

import (
	"path"
	"strings"
	"testing"
	"unicode/utf8"
)

// TestRecipesAreServed: every file of the folder is listed and served byte for byte under its name.
func TestRecipesAreServed(t *testing.T) {
	c := testClient(t)
	files, err := recipeFiles.ReadDir("docs/recipes")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		r, ok := recipeNamed(f.Name())
		if !ok {
			t.Errorf("%s is not listed", f.Name())
			continue
		}
		got := c.want(200, "GET", r.address(), "")
		if got.body != string(r.contents()) {
			t.Errorf("%s is served with other bytes", f.Name())
		}
		if media := got.header.Get("Content-Type"); strings.HasPrefix(media, "text/csv") != (path.Ext(f.Name()) == ".csv") || !strings.HasSuffix(media, "charset=utf-8") {
			t.Errorf("%s is served as %s", f.Name(), media)
		}
		if !utf8.Valid(r.contents()) || r.title == "" || r.about == "" || strings.Contains(r.shown(), "\r") || strings.Contains(r.shown(), "\ufeff") {
			t.Errorf("%s lacks a title or words, or isn't text", f.Name())
		}
	}
	listed := 0
	for _, g := range recipeGroups() {
		listed += len(g.recipes)
	}
	if listed != len(files) {
		t.Errorf("%d recipes are listed, and there are %d files", listed, len(files))
	}
	c.want(404, "GET", "/docs/recipes/none.sh", "")
	c.want(404, "GET", "/docs/recipes/..", "")
	c.want(400, "GET", "/docs/recipes/plants.csv?x=1", "")
}
