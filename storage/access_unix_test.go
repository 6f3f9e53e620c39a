//go:build unix

package storage

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// TestReadOnly: a database that may be read and not written is refused when it is opened, and stays as it was. Nobody
// writes where root may not, so as root the test goes on as another user.
func TestReadOnly(t *testing.T) {
	for _, c := range []struct {
		name         string
		file, folder os.FileMode
	}{
		{"file", 0o444, 0o777},
		{"folder", 0o644, 0o555},
		{"file and folder", 0o444, 0o555},
		{"file that may not be read either", 0o000, 0o777},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder, err := os.MkdirTemp("", "vinetally-")
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { os.Chmod(folder, 0o700); os.RemoveAll(folder) })
			path := filepath.Join(folder, "trial.db")
			db, err := Open(t.Context(), path, Options{})
			if err != nil {
				t.Fatal(err)
			}
			mustApply(t, db.Site(), []crop.Change{{Record: &crop.Season{ID: db.Site().NewID(), Name: "spring"}}})
			if err := db.Close(); err != nil {
				t.Fatal(err)
			}
			before, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := errors.Join(os.Chmod(path, c.file), os.Chmod(folder, c.folder)); err != nil {
				t.Fatal(err)
			}
			asNobody(t, func() {
				db, err := Open(t.Context(), path, Options{Wait: time.Second})
				if !errors.Is(err, ErrReadOnly) {
					t.Errorf("open: %v, want %v", err, ErrReadOnly)
				}
				if err == nil {
					db.Close()
				}
			})
			if err := os.Chmod(path, 0o644); err != nil {
				t.Fatal(err)
			}
			if after, err := os.ReadFile(path); err != nil || string(after) != string(before) {
				t.Errorf("the file was changed, %v", err)
			}
		})
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

const lockedFile = "VINETALLY_STORAGE_TEST_LOCKED"

// TestLockedChild is not a test of its own: it is the other program in TestOpenTwice. It prints whether anybody else holds
// the lock of an open database, which lies on the bytes from 0x40000002 (sqlite.org/fileformat2.html, 1.6; src/os.h).
func TestLockedChild(t *testing.T) {
	path := os.Getenv(lockedFile)
	if path == "" {
		return
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lock := syscall.Flock_t{Type: syscall.F_WRLCK, Whence: io.SeekStart, Start: 0x40000002, Len: 510}
	if err := syscall.FcntlFlock(f.Fd(), syscall.F_GETLK, &lock); err != nil {
		t.Fatal(err)
	}
	fmt.Printf("locked: %t\n", lock.Type != syscall.F_UNLCK)
}

// TestOpenTwice: a program that opens its file a second time keeps the lock that it has from the first. Without it, another
// program may take the database for closed and remove the write-ahead log, and what is written from then on is lost
// (sqlite.org/howtocorrupt.html, 2.2).
func TestOpenTwice(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	open := func() *DB {
		db, err := Open(t.Context(), path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return db
	}
	locked := func(want string) {
		t.Helper()
		other := exec.Command(os.Args[0], "-test.run=^TestLockedChild$")
		other.Env = append(os.Environ(), lockedFile+"="+path)
		if out, err := other.CombinedOutput(); err != nil || !strings.Contains(string(out), "locked: "+want) {
			t.Errorf("%v: %s; want locked: %s", err, out, want)
		}
	}
	one := open()
	locked("true")
	two := open()
	locked("true")
	if err := two.Close(); err != nil {
		t.Fatal(err)
	}
	locked("true")
	if err := one.Close(); err != nil {
		t.Fatal(err)
	}
	locked("false")
}
