package main

import (
	"io"
	"os"
	"path/filepath"
	"testing"
)

func TestRunWritesTheFiles(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "new")
	if err := run([]string{"-o", folder}, io.Discard); err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{"counts.csv", "README.md", ".gitattributes"} {
		if _, err := os.Stat(filepath.Join(folder, file)); err != nil {
			t.Error(err)
		}
	}
}

func TestRunWantsOneFolder(t *testing.T) {
	for name, args := range map[string][]string{"none": {}, "not named": {"demo"}, "two": {"-o", "a", "b"}, "unknown flag": {"-x"}} {
		t.Run(name, func(t *testing.T) {
			t.Chdir(t.TempDir())
			if err := run(args, io.Discard); err == nil {
				t.Errorf("run(%q) gave no error", args)
			}
		})
	}
}
