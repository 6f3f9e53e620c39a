package demotrial

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// TestCommittedFiles asserts that the committed demo trial is what the
// generator makes, byte for byte, with nothing missing and nothing more.
func TestCommittedFiles(t *testing.T) {
	folder := filepath.Join("..", "demo")
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var committed []string
	for _, e := range entries {
		committed = append(committed, e.Name())
	}
	if want := slices.Sorted(maps.Keys(simulated.Files)); !slices.Equal(committed, want) {
		t.Fatalf("files in %s:\n got %v\nwant %v", folder, committed, want)
	}
	for file, want := range simulated.Files {
		got, err := os.ReadFile(filepath.Join(folder, file))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs from what the generator makes; run go run ./testdata/demotrial/generate -o testdata/demo", file)
		}
	}
}

func TestGenerateTwiceIsTheSame(t *testing.T) {
	again := Generate()
	for file, want := range simulated.Files {
		if !bytes.Equal(again[file], want) {
			t.Errorf("%s differs from one run to the next", file)
		}
	}
}

func TestSizeOfFiles(t *testing.T) {
	total := 0
	for _, content := range simulated.Files {
		total += len(content)
	}
	if total > 1_500_000 {
		t.Errorf("the trial has %d bytes; the program carries it, keep it under 1.5 MB", total)
	}
}

// TestLineEnds: RFC 4180 ends every line with CRLF.
func TestLineEnds(t *testing.T) {
	for file, content := range simulated.Files {
		if filepath.Ext(file) != ".csv" {
			continue
		}
		if bytes.Count(content, []byte("\n")) != bytes.Count(content, []byte("\r\n")) || !bytes.HasSuffix(content, []byte("\r\n")) {
			t.Errorf("%s: a line does not end in CRLF", file)
		}
	}
}
