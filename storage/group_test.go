package storage

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// groupSite is a site whose writers all wait until release is called, so that they go together.
func groupSite(t *testing.T, o Options) (s *Site, release func(writers int)) {
	t.Helper()
	db, err := Open(t.Context(), filepath.Join(t.TempDir(), "group.db"), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	db.turn <- struct{}{}
	return db.Site(), func(writers int) {
		t.Helper()
		for range 2000 {
			db.queue.mu.Lock()
			n := len(db.queue.waiting)
			db.queue.mu.Unlock()
			if n == writers {
				<-db.turn
				return
			}
			time.Sleep(time.Millisecond)
		}
		t.Fatalf("the writers don't wait")
	}
}

func named(s *Site, name string) []crop.Change {
	return []crop.Change{{Record: &crop.Season{ID: s.NewID(), Name: name}}}
}

// TestGroup: writers that wait together are stored together; those that are refused, or whose callers are gone, change
// nothing for the others; each batch that changed something counts.
func TestGroup(t *testing.T) {
	s, release := groupSite(t, Options{})
	gone, leave := context.WithCancel(t.Context())
	results := make([]error, 12)
	var all sync.WaitGroup
	for i := range results {
		all.Go(func() {
			ctx, name := t.Context(), fmt.Sprintf("season %d", i)
			switch i {
			case 3:
				name = "" // invalid
			case 5:
				ctx = gone
			case 7, 8:
				name = "the same" // one of them clashes
			}
			_, results[i] = s.Apply(ctx, named(s, name), crop.ApplyOptions{DryRun: i == 10})
		})
	}
	time.AfterFunc(20*time.Millisecond, leave)
	time.Sleep(60 * time.Millisecond) // the one that leaves is gone before the others have their turn
	release(11)
	all.Wait()
	clashes := 0
	for i, err := range results {
		switch i {
		case 3:
			if crop.CodeOf(err) != crop.Invalid {
				t.Errorf("writer %d: %v, want invalid", i, err)
			}
		case 5:
			if !errors.Is(err, context.Canceled) {
				t.Errorf("writer %d: %v, want it cancelled", i, err)
			}
		case 7, 8:
			if crop.CodeOf(err) == crop.Conflict {
				clashes++
			} else if err != nil {
				t.Errorf("writer %d: %v", i, err)
			}
		default:
			if err != nil {
				t.Errorf("writer %d: %v", i, err)
			}
		}
	}
	if clashes != 1 {
		t.Errorf("%d of two alike clash, want 1", clashes)
	}
	c, err := s.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Seasons) != 8 || c.Change != 8 { // 12 less the invalid, the gone, one of the two alike and the dry run
		t.Errorf("%d seasons at change %d, want 8 and 8", len(c.Seasons), c.Change)
	}
}

// TestGroupThatFailsAtItsEnd: a transaction that can't be committed for one writer's sake is done again for each alone.
func TestGroupThatFailsAtItsEnd(t *testing.T) {
	s, release := groupSite(t, Options{})
	var all sync.WaitGroup
	results := make([]error, 5)
	for i := range results {
		all.Go(func() {
			if i == 2 { // refers to nothing, which the database finds out only at the commit
				results[i] = s.writeGrouped(t.Context(), false, func(ctx context.Context, q gorm.ConnPool) error {
					id, other := s.NewID(), s.NewID()
					_, err := q.ExecContext(ctx, `INSERT INTO visits (site_id, id, version, recorded_at, actor, plant_id, counted_at, counts, at_least, about, observer, note)
						VALUES (?, ?, 1, 0, '', ?, 0, '{"red":1}', 0, 0, '', '')`, s.id, id[:], other[:])
					return err
				})
				return
			}
			_, results[i] = s.Apply(t.Context(), named(s, fmt.Sprintf("season %d", i)), crop.ApplyOptions{})
		})
	}
	release(5)
	all.Wait()
	for i, err := range results {
		if want := map[bool]crop.Code{true: crop.Conflict}[i == 2]; crop.CodeOf(err) != want || want == "" && err != nil {
			t.Errorf("writer %d: %v, want code %q", i, err, want)
		}
	}
	c, err := s.Catalogue(t.Context())
	if err != nil || len(c.Seasons) != 4 {
		t.Errorf("%d seasons, %v; want 4", len(c.Seasons), err)
	}
}

func TestGroupWaitsNoLongerThanItMay(t *testing.T) {
	s, _ := groupSite(t, Options{Wait: 20 * time.Millisecond})
	if _, err := s.Apply(t.Context(), named(s, "late"), crop.ApplyOptions{}); crop.CodeOf(err) != crop.Busy {
		t.Errorf("%v, want busy", err)
	}
	if n := len(s.db.queue.waiting); n != 0 {
		t.Errorf("%d jobs wait still", n)
	}
	<-s.db.turn
}

// TestOnePanics: of writers that wait together one panics. It gets its panic, the others are stored, and the next write goes through.
func TestOnePanics(t *testing.T) {
	s, release := groupSite(t, Options{})
	const writers = 6
	results, panics := make([]error, writers), make([]any, writers)
	var all sync.WaitGroup
	for i := range writers {
		all.Go(func() {
			defer func() { panics[i] = recover() }()
			if i == 2 {
				results[i] = s.writeGrouped(t.Context(), false, func(context.Context, gorm.ConnPool) error { panic("broken") })
				return
			}
			_, results[i] = s.Apply(t.Context(), named(s, fmt.Sprintf("season %d", i)), crop.ApplyOptions{})
		})
	}
	release(writers)
	all.Wait()
	for i := range writers {
		if i == 2 {
			if panics[i] != "broken" {
				t.Errorf("the writer that panicked got %v, %v", panics[i], results[i])
			}
			continue
		}
		if panics[i] != nil || results[i] != nil {
			t.Errorf("writer %d: %v, panic %v", i, results[i], panics[i])
		}
	}
	if _, err := s.Apply(t.Context(), named(s, "after"), crop.ApplyOptions{}); err != nil {
		t.Errorf("the next write: %v", err)
	}
	var n int
	if err := s.db.reader.Raw("SELECT count(*) FROM seasons").Row().Scan(&n); err != nil || n != writers {
		t.Errorf("%d seasons are stored, want %d (%v)", n, writers, err)
	}
}
