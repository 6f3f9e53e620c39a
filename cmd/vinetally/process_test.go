package main

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// asProgram makes the test binary be the program: the very same code and build tags, in a process of its own.
const asProgram = "VINETALLY_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main() // exits
	}
	os.Exit(m.Run())
}

// process is the program in a process of its own, which can be killed.
type process struct {
	args      []string
	cmd       *exec.Cmd
	base      string // where it serves
	out, errs *output
	ended     chan struct{}
}

// launch starts the program; the end of the test kills it.
func launch(t *testing.T, args ...string) *process {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	p := &process{args: args, cmd: exec.Command(self, args...), out: new(output), errs: new(output), ended: make(chan struct{})}
	p.cmd.Env = append(os.Environ(), asProgram+"=1")
	p.cmd.Stdout, p.cmd.Stderr = p.out, p.errs
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(p.ended)
		_ = p.cmd.Wait() // its status is asked for
	}()
	t.Cleanup(p.kill)
	return p
}

// launchServer starts the program serving a database and waits for the address that it prints.
func launchServer(t *testing.T, db string, flags ...string) *process {
	t.Helper()
	p := launch(t, append([]string{"serve", "--db", db, "--listen", "127.0.0.1:0"}, flags...)...)
	for until := time.Now().Add(time.Minute); time.Now().Before(until); {
		if m := printedAddress.FindStringSubmatch(p.out.String()); m != nil {
			p.base = m[1]
			return p
		}
		if !p.alive() {
			break
		}
		time.Sleep(2 * time.Millisecond)
	}
	t.Fatalf("%s prints no address: %q, %q", p, p.out, p.errs)
	return nil
}

func (p *process) String() string { return "vinetally " + strings.Join(p.args, " ") }

func (p *process) alive() bool {
	select {
	case <-p.ended:
		return false
	default:
		return true
	}
}

// kill ends the process as kill -9 does, and waits until it is gone.
func (p *process) kill() {
	_ = p.cmd.Process.Kill() // it may have ended
	<-p.ended
}

// wait waits for the end and returns the exit status, -1 for a process that was killed.
func (p *process) wait(t *testing.T) int {
	t.Helper()
	select {
	case <-p.ended:
		return p.cmd.ProcessState.ExitCode()
	case <-time.After(2 * time.Minute):
		t.Fatalf("%s doesn't end: %q, %q", p, p.out, p.errs)
		return 0
	}
}

// wantStop interrupts a server, which must be a clean stop.
func (p *process) wantStop(t *testing.T) {
	t.Helper()
	if err := p.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Errorf("interrupt %s: %v", p, err)
	}
	if status := p.wait(t); status != exitDone {
		t.Errorf("%s, interrupted: status %d, %s", p, status, p.errs)
	}
	p.wantQuiet(t)
}

// wantQuiet checks that nothing it wrote tells of a fault within, or in the words of the database's driver.
func (p *process) wantQuiet(t *testing.T) {
	t.Helper()
	for line := range strings.Lines(p.errs.String() + p.out.String()) {
		for _, bad := range []string{`"level":"ERROR"`, "panic", "database is locked", "database table is locked", "SQLITE_BUSY"} {
			if strings.Contains(line, bad) {
				t.Errorf("%s says %s", p, strings.TrimSpace(line))
				break
			}
		}
	}
}

// wantFinished runs the program in a process of its own, which must end well, and returns its output.
func wantFinished(t *testing.T, args ...string) string {
	t.Helper()
	p := launch(t, args...)
	if status := p.wait(t); status != exitDone {
		t.Fatalf("%s: status %d, %s", p, status, p.errs)
	}
	p.wantQuiet(t)
	return p.out.String()
}

// madeDatabase makes an empty database.
func madeDatabase(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "trial.db")
	launchServer(t, "sqlite:"+path).wantStop(t)
	return path
}

// wantSound checks the file as the database itself can: its pages, its indexes and what refers to what. No process may
// have it open for longer than that.
func wantSound(t *testing.T, path string) {
	t.Helper()
	if err := unsound(path); err != nil {
		t.Errorf("%s: %v", path, err)
	}
}

// wantChecked checks the file as the program itself can: all of the above, and every record, history and ledger.
func wantChecked(t *testing.T, path string) {
	t.Helper()
	wantSound(t, path)
	wantFinished(t, "check", "--db", "sqlite:"+path)
}

func unsound(path string) error {
	if info, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) || err == nil && info.Size() == 0 {
		return nil // killed before there was anything
	}
	db, err := sql.Open(sqliteDriver(), "file:"+path+"?mode=ro")
	if err != nil {
		return err
	}
	defer db.Close()
	var found string
	if err := db.QueryRow("PRAGMA integrity_check").Scan(&found); err != nil || found != "ok" {
		return fmt.Errorf("integrity_check: %q, %w", found, err)
	}
	rows, err := db.Query("PRAGMA foreign_key_check")
	if err != nil {
		return err
	}
	defer rows.Close()
	if rows.Next() {
		return errors.New("foreign_key_check finds rows")
	}
	return rows.Err()
}

// sqliteDriver is the driver that the program is built with: the one in Go where that is there, since the one in C is then
// registered and does nothing.
func sqliteDriver() string {
	if slices.Contains(sql.Drivers(), "sqlite") {
		return "sqlite"
	}
	return "sqlite3"
}

// wantSameFile checks that a file holds what it held.
func wantSameFile(t *testing.T, path string, before []byte) {
	t.Helper()
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(after, before) {
		t.Errorf("%s was changed (%v)", path, err)
	}
}
