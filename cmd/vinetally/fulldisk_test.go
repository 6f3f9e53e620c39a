//go:build linux

package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
)

// smallDisk is set for the part of the test that runs with a file system of its own.
const smallDisk = "VINETALLY_TEST_SMALL_DISK"

// TestFullDisk runs the program on a file system that fills up. Only a process with a mount namespace of its own may mount
// one, so the test runs itself in one.
func TestFullDisk(t *testing.T) {
	if os.Getenv(smallDisk) != "" {
		onFullDisk(t)
		return
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	again := exec.Command(self, "-test.run=^TestFullDisk$", "-test.v")
	again.Env = append(os.Environ(), smallDisk+"=1")
	again.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNS}
	if os.Geteuid() != 0 {
		again.SysProcAttr.Cloneflags |= syscall.CLONE_NEWUSER
		again.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
		again.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
	}
	out, err := again.CombinedOutput()
	switch text := string(out); {
	case errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EPERM) || strings.Contains(text, cantMount):
		t.Skipf("no file system of its own can be mounted here, so nothing was tested on a full disk: %v", err)
	case err != nil || !strings.Contains(text, "--- PASS: TestFullDisk"):
		t.Errorf("on a small disk: %v\n%s", err, text)
	default:
		t.Log(text)
	}
}

const cantMount = "this system lets nobody mount"

// disk is a small file system.
type disk struct {
	t       *testing.T
	dir     string
	ballast string
}

func newDisk(t *testing.T, megabytes int) *disk {
	t.Helper()
	d := &disk{t: t, dir: t.TempDir()}
	d.ballast = filepath.Join(d.dir, "ballast")
	err := syscall.Mount("none", "/", "", syscall.MS_REC|syscall.MS_PRIVATE, "")
	if err == nil {
		err = syscall.Mount("tmpfs", d.dir, "tmpfs", 0, fmt.Sprintf("size=%dm", megabytes))
	}
	if errors.Is(err, syscall.EPERM) {
		t.Fatal(cantMount)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(d.dir, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	return d
}

// fill leaves so many bytes free, rounded to pages.
func (d *disk) fill(left int64) {
	d.t.Helper()
	f, err := os.OpenFile(d.ballast, os.O_CREATE|os.O_WRONLY|os.O_APPEND, 0o644)
	if err != nil {
		d.t.Fatal(err)
	}
	defer f.Close()
	page := make([]byte, 4096)
	for {
		var s syscall.Statfs_t
		if err := syscall.Statfs(d.dir, &s); err != nil {
			d.t.Fatal(err)
		}
		if int64(s.Bavail)*s.Bsize < left+int64(len(page)) {
			return
		}
		if _, err := f.Write(page); err != nil {
			d.t.Fatal(err)
		}
	}
}

func (d *disk) free() {
	d.t.Helper()
	if err := os.Remove(d.ballast); err != nil {
		d.t.Fatal(err)
	}
}

func (d *disk) path(name string) string { return filepath.Join(d.dir, name) }

func onFullDisk(t *testing.T) {
	t.Run("serve", fullDiskServe)
	t.Run("import", fullDiskImport)
	t.Run("import aside", fullDiskAside)
	t.Run("make", fullDiskMake)
	t.Run("write files", fullDiskFiles)
}

// fullDiskServe: a server whose disk fills says so with every write that it can't keep, answers readers, and goes on when
// there is room again. What it said is kept is kept.
func fullDiskServe(t *testing.T) {
	d := newDisk(t, 24)
	path := d.path("trial.db")
	server := launchServer(t, "sqlite:"+path)
	g := newGrower(t, "client", rand.New(rand.NewPCG(5, 5)), new(atomic.Int64))
	if _, ok := g.send(server.base, trialBase()); !ok {
		t.Fatal("the season isn't stored")
	}
	for round, left := range []int64{0, 64 << 10, 300 << 10} {
		for range 20 {
			g.write(server.base, mix{batches: 30, edits: 20})
		}
		d.fill(left)
		refused, kept := 0, 0
		for range 400 {
			r := mix{batches: 50, edits: 20}.next(g)
			status, _, text, err := g.do(g.httpRequest(server.base, r))
			switch {
			case err != nil:
				t.Fatalf("%s: %v; %s", r.path, err, server.errs)
			case status == http.StatusInsufficientStorage:
				refused++
				for _, word := range []string{`"/problems/disk-full"`, "free some space", "nothing", "again"} {
					if !strings.Contains(string(text), word) {
						t.Errorf("the refusal doesn't say %s: %s", word, text)
					}
				}
			case status/100 != 2:
				t.Fatalf("%s %s: %d %s; %s", r.method, r.path, status, text, server.errs)
			default:
				g.keepText(r, text)
				kept++
			}
			if refused == 30 {
				break
			}
		}
		if refused == 0 {
			t.Errorf("round %d: %d writes found room on a full disk", round, kept)
		}
		stored := g.readAll(server.base) // reading goes on
		g.settle(server.base, stored)
		wantNoOthers(stored, []*grower{g})
		for _, address := range []string{"/healthz", "/readyz", "/", "/reports/seasons/" + seasonID, "/v1/seasons/" + seasonID + "/past-ripe"} {
			if r, text := get(t, server.base+address); r.StatusCode != http.StatusOK && r.StatusCode != http.StatusUnprocessableEntity {
				t.Errorf("GET %s on a full disk: %d %.300s", address, r.StatusCode, text)
			}
		}
		d.free()
		for range 20 {
			g.write(server.base, mix{batches: 30, edits: 20})
		}
		g.settle(server.base, g.readAll(server.base))
		g.wantHistories(server.base)
		t.Logf("%d bytes left: %d writes went well, then %d were refused", left, kept, refused)
	}
	// Stopped and killed on a full disk, everything is there.
	d.fill(0)
	server.kill()
	again := launch(t, "serve", "--db", "sqlite:"+path, "--listen", "127.0.0.1:0")
	again.kill()
	d.free()
	server = launchServer(t, "sqlite:"+path)
	g.settle(server.base, g.readAll(server.base))
	d.fill(0)
	server.wantStop(t)
	d.free()
	server = launchServer(t, "sqlite:"+path)
	stored := g.readAll(server.base)
	g.settle(server.base, stored)
	wantNoOthers(stored, []*grower{g})
	server.wantStop(t)
	wantChecked(t, path)
}

// write sends one request, which must go well.
func (g *grower) write(base string, m mix) {
	g.t.Helper()
	r := m.next(g)
	answer, ok := g.send(base, r)
	if !ok {
		g.t.Fatalf("%s %s isn't stored", r.method, r.path)
	}
	g.keep(r, answer)
}

// fullDiskImport: an import that finds no room says so and leaves the database as it was, and so does one where there is
// room for a part of it; with room it goes well.
func fullDiskImport(t *testing.T) {
	d := newDisk(t, 8)
	db := "sqlite:" + d.path("trial.db")
	first, second := csvTrial{season: 1, plants: 10, visits: 50}, csvTrial{season: 2, plants: 20, visits: 150}
	wantFinished(t, first.importArgs(db, first.write(t))...)
	before := exported(t, db)
	dir := second.write(t)
	for _, left := range []int64{0, 40 << 10, 100 << 10, 300 << 10, 600 << 10} {
		d.fill(left)
		wantRefusedFull(t, second.importArgs(db, dir)...)
		d.free()
		if is := exported(t, db); is != before {
			t.Fatalf("%d bytes left: %s", left, firstDifference(is, before))
		}
		wantSound(t, d.path("trial.db"))
	}
	wantFinished(t, second.importArgs(db, dir)...)
	if got := importedRows(exported(t, db), second, 5); got != second.plants*second.visits {
		t.Errorf("%d counts, want %d", got, second.plants*second.visits)
	}
}

// fullDiskAside: an import that finds no room for what it keeps aside says where, and leaves the database as it was.
func fullDiskAside(t *testing.T) {
	d := newDisk(t, 8)
	path := madeDatabase(t)
	before := exported(t, "sqlite:"+path)
	s := csvTrial{plants: 60, visits: 2000}
	args := s.importArgs("sqlite:"+path, s.write(t))
	t.Setenv("TMPDIR", d.dir)
	for _, left := range []int64{0, 1 << 20} {
		d.fill(left)
		for _, args := range [][]string{args, append(slices.Clone(args), "--dry-run")} {
			p := wantRefusedFull(t, args...)
			if !strings.Contains(p.errs.String(), "the folder for temporary files (the environment variable TMPDIR names another)") {
				t.Errorf("the refusal doesn't say where there is no room: %s", p.errs)
			}
		}
		d.free()
	}
	t.Setenv("TMPDIR", t.TempDir())
	if is := exported(t, "sqlite:"+path); is != before {
		t.Error(firstDifference(is, before))
	}
	wantChecked(t, path)
	wantFinished(t, args...)
}

// wantRefusedFull runs the program, which must end with status 1 and one line that says what to do about the disk.
func wantRefusedFull(t *testing.T, args ...string) *process {
	t.Helper()
	p := launch(t, args...)
	status, text := p.wait(t), p.errs.String()
	words := slices.DeleteFunc(strings.SplitAfter(text, "\n"), func(line string) bool { // of a slow machine an import tells how far it is
		return line == "" || strings.Contains(line, " rows a second")
	})
	if status != exitRefused || len(words) != 1 || !strings.Contains(text, "disk full") || !strings.Contains(text, "free some space") {
		t.Errorf("%s, on a full disk: status %d, %q, want %d and one line with the way to mend", p, status, text, exitRefused)
	}
	return p
}

// fullDiskMake: a database that there is no room for isn't made, and is once there is room.
func fullDiskMake(t *testing.T) {
	d := newDisk(t, 2)
	for _, left := range []int64{0, 8 << 10, 40 << 10, 80 << 10, 150 << 10} {
		path := d.path(fmt.Sprintf("new%d.db", left))
		d.fill(left)
		wantRefusedFull(t, "serve", "--db", "sqlite:"+path, "--listen", "127.0.0.1:0")
		d.free()
		server := launchServer(t, "sqlite:"+path)
		server.wantStop(t)
		wantSound(t, path)
		if err := os.Remove(path); err != nil {
			t.Error(err)
		}
	}
}

// fullDiskFiles: a report or an export that finds no room leaves what was there before, and nothing half-written.
func fullDiskFiles(t *testing.T) {
	d := newDisk(t, 4)
	db := scratch(t) // elsewhere
	wantFinished(t, "import", "--db", db, demoFolder(t))
	report := []string{"report", "--db", db, "--season", "Winter 2026 (invented)", "-o", d.path("report.html")}
	wantFinished(t, report...)
	before, err := os.ReadFile(d.path("report.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, left := range []int64{0, 40 << 10} {
		d.fill(left)
		wantRefusedFull(t, report...)
		wantSameFile(t, d.path("report.html"), before)
		wantRefusedFull(t, "export", "--db", db, d.path("export"))
		files, err := os.ReadDir(d.dir)
		if err != nil || len(files) != 2 {
			t.Errorf("there are %v (%v), want the old report and the ballast alone", files, err)
		}
		d.free()
	}
	wantFinished(t, report...)
	wantFinished(t, "export", "--db", db, d.path("export"))
}
