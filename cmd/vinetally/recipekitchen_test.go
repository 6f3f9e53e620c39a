package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// kitchen is a server on a scratch database that holds the demo trial, and a folder to run recipes in.
type kitchen struct{ base, db, dir string }

// fetch saves a recipe in the folder and returns its text.
func (k *kitchen) fetch(t *testing.T, file string) string {
	t.Helper()
	r, text := get(t, k.base+"/docs/recipes/"+file)
	if r.StatusCode != http.StatusOK {
		t.Fatalf("GET /docs/recipes/%s: status %d", file, r.StatusCode)
	}
	k.write(t, file, text)
	return text
}

func (k *kitchen) write(t *testing.T, file, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(k.dir, file), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func (k *kitchen) read(t *testing.T, file string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(k.dir, file))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// try runs a command line in the folder and returns what it wrote, standard error after standard output.
func (k *kitchen) try(t *testing.T, input string, line ...string) (string, error) {
	t.Helper()
	c := exec.CommandContext(t.Context(), line[0], line[1:]...)
	c.Dir, c.Stdin, c.Env = k.dir, strings.NewReader(input), append(os.Environ(), "VINETALLY="+k.base, "USER=Ana")
	c.WaitDelay = time.Second
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	err := c.Run()
	if _, failed := errors.AsType[*exec.ExitError](err); err != nil && !failed {
		t.Fatal(err)
	}
	return out.String() + errs.String(), err
}

// run is try of what must succeed.
func (k *kitchen) run(t *testing.T, input string, line ...string) string {
	t.Helper()
	out, err := k.try(t, input, line...)
	if err != nil {
		t.Fatalf("%s: %v\n%s", strings.Join(line, " "), err, out)
	}
	return out
}

// answer reads an address of the server as JSON.
func answer[T any](t *testing.T, url string) (v T) {
	t.Helper()
	r, body := get(t, url)
	if err := json.Unmarshal([]byte(body), &v); err != nil || r.StatusCode != http.StatusOK {
		t.Fatalf("GET %s: status %d, %v\n%s", url, r.StatusCode, err, body)
	}
	return v
}

type page[T any] struct{ Items []T }

// needsPrograms skips a test aloud where a program isn't installed.
func needsPrograms(t *testing.T, names ...string) {
	t.Helper()
	for _, name := range names {
		if _, err := exec.LookPath(name); err != nil {
			t.Skipf("SKIPPED: no %s in PATH; this recipe was not run", name)
		}
	}
}

func needsR(t *testing.T, packages ...string) {
	t.Helper()
	needsPrograms(t, "Rscript")
	for _, p := range packages {
		if err := exec.CommandContext(t.Context(), "Rscript", "-e", "library("+p+")").Run(); err != nil {
			t.Skipf("SKIPPED: R has no package %s; this recipe was not run", p)
		}
	}
}

// wantLine demands a line that has the words in order, whatever stands between them.
func wantLine(t *testing.T, out string, words ...string) {
	t.Helper()
	for line := range strings.Lines(out) {
		rest, found := line, true
		for _, w := range words {
			if _, rest, found = strings.Cut(rest, w); !found {
				break
			}
		}
		if found {
			return
		}
	}
	t.Errorf("no line has %q:\n%s", words, out)
}
