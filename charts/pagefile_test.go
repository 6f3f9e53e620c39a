package charts

import (
	"os"
	"path/filepath"
	"testing"
)

// pageFile writes the page into a file and returns its file:// address.
func pageFile(t *testing.T, p Page) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "page.html")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := WriteFile(f, p); err != nil {
		t.Fatal(err)
	}
	return "file://" + path
}
