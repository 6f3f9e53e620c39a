package main

import (
	"database/sql"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"
	"time"
)

// TestPostsWhileImporting: while another process imports, what is posted is stored and answered long before the import is there;
// nobody is told that the records are taken.
func TestPostsWhileImporting(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	server := launchServer(t, "sqlite:"+path)
	g := newGrower(t, "client", rand.New(rand.NewPCG(8, 8)), new(atomic.Int64))
	if _, ok := g.send(server.base, trialBase()); !ok {
		t.Fatal("the season isn't stored")
	}
	look, err := sql.Open(sqliteDriver(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer look.Close()
	// An import under way stands in its table until it is published.
	underWay := func() bool {
		var imports, theirs int
		if err := look.QueryRow("SELECT (SELECT count(*) FROM imports), (SELECT count(*) FROM visits WHERE hex(id) LIKE 'F11E%')").Scan(&imports, &theirs); err != nil {
			t.Fatal(err)
		}
		if imports == 1 && theirs > 0 {
			t.Errorf("%d counts are there of an import that is under way", theirs)
		}
		return imports == 1
	}
	s := csvTrial{plants: 40, visits: 1500}
	p := launch(t, s.importArgs("sqlite:"+path, s.write(t))...)
	during := 0
	for p.alive() {
		before := underWay()
		g.write(server.base, mix{})
		if before && underWay() {
			during++
		}
	}
	if status := p.wait(t); status != exitDone {
		t.Errorf("%s: status %d, %s", p, status, p.errs)
	}
	p.wantQuiet(t)
	if during < 5 || g.busy > 0 {
		t.Errorf("%d writes were answered while the import was under way, and %d refused; want many, and none", during, g.busy)
	}
	t.Logf("%d writes were answered while the import read and checked; the slowest of all took %s", during, g.longest)
	if got := importedRows(exported(t, "sqlite:"+path), s, 5); got != s.plants*s.visits {
		t.Errorf("%d counts are imported, want %d", got, s.plants*s.visits)
	}
	g.settle(server.base, g.readAll(server.base))
	server.wantStop(t)
	wantChecked(t, path)
}

// TestKilledImportLeavesNothing: what a killed import has kept aside is gone with it.
func TestKilledImportLeavesNothing(t *testing.T) {
	path := madeDatabase(t)
	aside := t.TempDir()
	t.Setenv("TMPDIR", aside)
	t.Setenv("SQLITE_TMPDIR", aside)
	s := csvTrial{plants: 40, visits: 1500}
	args := s.importArgs("sqlite:"+path, s.write(t))
	look, err := sql.Open(sqliteDriver(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer look.Close()
	p := launch(t, args...)
	for imports := 0; imports == 0 && p.alive(); {
		if err := look.QueryRow("SELECT count(*) FROM imports").Scan(&imports); err != nil {
			t.Fatal(err)
		}
	}
	time.Sleep(300 * time.Millisecond)
	p.kill()
	for _, dir := range []string{aside, filepath.Dir(path)} {
		files, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			if f.Name() != "trial.db" && f.Name() != "trial.db-wal" && f.Name() != "trial.db-shm" {
				t.Errorf("%s is left in %s", f.Name(), dir)
			}
		}
	}
	// The next import isn't held up by the one that is gone.
	wantFinished(t, args...)
	wantChecked(t, path)
}
