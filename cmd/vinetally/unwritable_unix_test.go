//go:build unix

package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestUnwritableDatabases: a database whose file or folder may only be read is refused by every command that writes to it,
// in one line that says what to do. What only reads may go well. Either way the file stays as it was. Root may write
// everywhere, so as root the commands run as another user.
func TestUnwritableDatabases(t *testing.T) {
	for name, c := range map[string]struct{ file, folder os.FileMode }{
		"file":            {0o444, 0o777},
		"folder":          {0o644, 0o555},
		"file and folder": {0o444, 0o555},
		"not even read":   {0o000, 0o777},
	} {
		dir, err := os.MkdirTemp("", "vinetally-") // outside the test's own, which others may not enter
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = errors.Join(os.Chmod(dir, 0o700), os.RemoveAll(dir)) })
		path := filepath.Join(dir, "trial.db")
		wantDone(t, "import", "--db", "sqlite:"+path, folder(t, map[string]string{"plants.csv": onePlant}))
		before, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(os.Chmod(path, c.file), os.Chmod(dir, c.folder)); err != nil {
			t.Fatal(err)
		}
		for command, args := range databaseCommands(t) {
			t.Run(name+"/"+command, func(t *testing.T) {
				public(t, args)
				var status int
				var errs string
				asNobody(t, func() { status, _, errs = program(t, append(args, "--db", "sqlite:"+path)...) })
				reads := command == "check" || command == "backup"
				if status == exitDone && reads && c.file != 0 {
					return
				}
				if status != exitRefused || strings.Count(errs, "\n") != 1 || !strings.Contains(errs, "write access") && !strings.Contains(errs, "may be written") && !strings.Contains(errs, "can't be read") {
					t.Errorf("status %d, %q; want %d and one line with the way to mend", status, errs, exitRefused)
				}
			})
		}
		if err := errors.Join(os.Chmod(dir, 0o700), os.Chmod(path, 0o600)); err != nil {
			t.Fatal(err)
		}
		wantSameFile(t, path, before)
		wantChecked(t, path)
	}
}

// public lets others use the files that a command line names.
func public(t *testing.T, args []string) {
	t.Helper()
	for _, arg := range args {
		if !filepath.IsAbs(arg) {
			continue
		}
		for dir := filepath.Dir(arg); len(dir) > len(os.TempDir()); dir = filepath.Dir(dir) {
			if err := os.Chmod(dir, 0o777); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// asNobody calls f without the rights of root.
func asNobody(t *testing.T, f func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		f()
		return
	}
	const nobody = 65534
	if err := syscall.Setreuid(-1, nobody); err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := syscall.Setreuid(-1, 0); err != nil {
			panic(err)
		}
	}()
	f()
}
