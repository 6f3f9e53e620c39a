package storage

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

func wantSound(t *testing.T, path string) *Checked {
	t.Helper()
	checked, err := Check(t.Context(), path, CheckOptions{Plant: func(*crop.Trial, crop.ID) []string { return nil }})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range checked.Damage {
		t.Error(d)
	}
	return checked
}

// TestBackupUnderLoad: while many writers write, a copy holds everything that was answered before it was asked for, and is
// one state of the database.
func TestBackupUnderLoad(t *testing.T) {
	dir := t.TempDir()
	db, err := Open(t.Context(), filepath.Join(dir, "trial.db"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	s := db.Site()
	tr := newTrial(s, "load", 4)
	mustApply(t, s, tr.base())
	mustApply(t, s, tr.visits(s, 500))

	var mu sync.Mutex
	answered := map[crop.ID]int64{} // the version that was answered last
	stop := make(chan struct{})
	var writers sync.WaitGroup
	var writes atomic.Int64
	for w := range 8 {
		writers.Go(func() {
			for n := 0; ; n++ {
				select {
				case <-stop:
					return
				default:
				}
				// Two records in one batch, which a copy must hold both of or neither.
				at := crop.InstantMoment(testNow.Add(-time.Duration(n+1) * time.Minute))
				pair := []crop.Change{
					{Record: &crop.Visit{ID: s.NewID(), PlantID: tr.plants[w%4].ID, CountedAt: at, Counts: map[string]int{"red": n}, Note: "pair"}},
					{Record: &crop.Picking{ID: s.NewID(), PlantID: &tr.plants[w%4].ID, PickedAt: at, Fruits: new(n), Note: "pair"}},
				}
				if n > 0 && n%3 == 0 { // and an edit of an older one
					mu.Lock()
					for id, v := range answered {
						old := &crop.Visit{ID: id, PlantID: tr.plants[w%4].ID, CountedAt: at, Counts: map[string]int{"red": n}, Note: "edited"}
						if v == 1 {
							pair = append(pair, crop.Change{Record: old})
							answered[id] = 0 // nobody else's
							break
						}
					}
					mu.Unlock()
				}
				out, err := s.Apply(context.Background(), pair, crop.ApplyOptions{})
				if err != nil {
					t.Error(err)
					return
				}
				writes.Add(1)
				mu.Lock()
				answered[out[0].Record.Identity()] = out[0].Version
				if len(out) == 3 {
					answered[out[2].Record.Identity()] = out[2].Version
				}
				mu.Unlock()
			}
		})
	}
	for round := range 4 {
		time.Sleep(150 * time.Millisecond)
		mu.Lock()
		must := map[crop.ID]int64{}
		for id, v := range answered {
			must[id] = v
		}
		mu.Unlock()
		before := writes.Load()
		to := filepath.Join(dir, "copy", string(rune('a'+round)))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			t.Fatal(err)
		}
		copied, err := Backup(t.Context(), db.path, to, BackupOptions{})
		if err != nil {
			t.Fatal(err)
		}
		during := writes.Load() - before
		if checked := wantSound(t, to); checked.Change != copied.Checked.Change || copied.Checked.Records() != checked.Records() {
			t.Errorf("the copy was told to have %d records at change %d, and has %d at %d", copied.Checked.Records(), copied.Checked.Change,
				checked.Records(), checked.Change)
		}
		restored, err := Open(t.Context(), to, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for id, version := range must {
			if got, err := restored.Site().Get(t.Context(), crop.Visits, id); err != nil || got.Version < version {
				t.Errorf("%s is of version %d in the copy, %v; version %d had been answered", id, got.Version, err, version)
			}
		}
		var visits, pickings, change int
		err = restored.pools[0].QueryRow(`SELECT (SELECT count(*) FROM visits WHERE note <> ''), (SELECT count(*) FROM pickings WHERE note = 'pair'),
			(SELECT change FROM sites)`).Scan(&visits, &pickings, &change)
		if err != nil || visits != pickings {
			t.Errorf("the copy has %d counts and %d pickings that were written in pairs, %v", visits, pickings, err)
		}
		if change != 2+visits { // each pair was a change, after the two that made the season
			t.Errorf("the copy has %d pairs at change %d", visits, change)
		}
		mustApply(t, restored.Site(), tr.visits(s, 1)) // it can be gone on with
		if err := restored.Close(); err != nil {
			t.Error(err)
		}
		t.Logf("%d records, %d bytes, at change %d; %d writes meanwhile", copied.Checked.Records(), copied.Bytes, change, during)
		if left, _ := filepath.Glob(filepath.Join(filepath.Dir(to), ".*")); len(left) > 0 {
			t.Errorf("left behind: %v", left)
		}
	}
	close(stop)
	writers.Wait()
	wantSound(t, db.path) // beside the open database
}

// TestBackupOfClosed: a copy of a closed database is the same to every reader, and the database stays one file.
func TestBackupOfClosed(t *testing.T) {
	path := sampleFile(t)
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, 0o640); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "copy of ?#% .db")
	copied, err := Backup(t.Context(), "sqlite:"+path, to, BackupOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := dump(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := dump(t.Context(), to); err != nil || got != want {
		t.Errorf("the copy differs: %s, %v", firstDifference(want, got), err)
	}
	info, err := os.Stat(to)
	if err != nil || info.Mode().Perm() != 0o640 || info.Size() != copied.Bytes || copied.Path != to {
		t.Errorf("%+v, %v, %+v", info, err, copied)
	}
	if after, err := os.ReadFile(path); err != nil || string(after) != string(before) {
		t.Errorf("the database was changed, %v", err)
	}
	if left, _ := filepath.Glob(path + "-*"); len(left) > 0 {
		t.Errorf("left beside the database: %v", left)
	}
}

// TestBackupDiskFull: a copy that finds no room is told as one; the words of a full disk are not those of the database.
func TestBackupDiskFull(t *testing.T) {
	pool, err := sql.Open(driverName, uri(filepath.Join(t.TempDir(), "full.db"), writerQuery(1000)))
	if err != nil {
		t.Fatal(err)
	}
	defer pool.Close()
	pool.SetMaxOpenConns(1)
	_, full := pool.Exec(`PRAGMA max_page_count = 3; CREATE TABLE t AS SELECT randomblob(100000)`)
	if full == nil {
		t.Fatal("no error of a full disk")
	}
	err = copyFailed(t.Context(), "/media/stick/copy.db", full)
	if !errors.Is(err, ErrFull) || !strings.Contains(err.Error(), "no room for the copy in /media/stick; free some space or choose another folder") {
		t.Errorf("copy: %v", err)
	}
}

// TestBackupRefuses: nothing that is there is lost or mixed up, and nothing is left of a copy that came to nothing.
func TestBackupRefuses(t *testing.T) {
	path := sampleFile(t)
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	for name, contents := range map[string]string{"there": "mine", "logged-wal": "log", "text.db": strings.Repeat("season,plant\n", 100), "empty.db": ""} {
		if err := os.WriteFile(at(name), []byte(contents), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(path, at("link")); err != nil {
		t.Fatal(err)
	}
	damaged, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	i := strings.Index(string(damaged), "edited edited ")
	damaged[i]++
	if err := os.WriteFile(at("damaged.db"), damaged, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, from, to string
		o              BackupOptions
		want           string
		is             error
	}{
		{"file is there", path, at("there"), BackupOptions{}, "give --overwrite", nil},
		{"the database itself", path, path, BackupOptions{Overwrite: true}, "it is the database itself", nil},
		{"the database by a link", path, at("link"), BackupOptions{Overwrite: true}, "it is a link", nil},
		{"folder", path, dir, BackupOptions{Overwrite: true}, "it is a folder", nil},
		{"log of another database", path, at("logged"), BackupOptions{}, "would be mixed into the copy", nil},
		{"no folder", path, at("none/copy"), BackupOptions{}, "choose a folder that exists", nil},
		{"folder that nobody can write to", path, "/proc/copy", BackupOptions{}, "can be written", nil},
		{"no database", at("none.db"), at("copy"), BackupOptions{}, "there is none at", ErrMissing},
		{"empty file", at("empty.db"), at("copy"), BackupOptions{}, "there is none at", ErrMissing},
		{"another file", at("text.db"), at("copy"), BackupOptions{}, "name another", ErrNotOurs},
		{"damaged database", at("damaged.db"), at("copy"), BackupOptions{}, "the copy isn't sound", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			copied, err := Backup(t.Context(), c.from, c.to, c.o)
			if err == nil || !strings.Contains(err.Error(), c.want) || c.is != nil && !errors.Is(err, c.is) {
				t.Errorf("%+v, %v; want %q", copied, err, c.want)
			}
		})
	}
	if text, err := os.ReadFile(at("there")); err != nil || string(text) != "mine" {
		t.Errorf("the file that was there holds %q, %v", text, err)
	}
	wantSound(t, path)
	if _, err := Backup(t.Context(), path, at("there"), BackupOptions{Overwrite: true}); err != nil {
		t.Error(err)
	}
	wantSound(t, at("there"))
	canceled, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Backup(canceled, path, at("copy"), BackupOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("given up: %v", err)
	}
	left, err := filepath.Glob(at(".*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if _, err := os.Stat(at("copy")); err == nil {
		t.Error("a copy that was refused is there")
	}
}
