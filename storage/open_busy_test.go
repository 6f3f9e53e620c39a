package storage

import (
	"path/filepath"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// TestOpenWhileAnotherWrites: a database that another process is writing is opened and read at once; only writing waits.
func TestOpenWhileAnotherWrites(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	open := func() *DB {
		t.Helper()
		db, err := Open(t.Context(), path, Options{Wait: 2 * time.Second})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { db.Close() })
		return db
	}
	first := open()
	mustApply(t, first.Site(), named(first.Site(), "spring"))
	other, err := first.pools[0].Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	if _, err := other.ExecContext(t.Context(), "BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	second := open()
	c, err := second.Site().Catalogue(t.Context())
	if err != nil || len(c.Seasons) != 1 {
		t.Errorf("%d seasons, %v; want 1", len(c.Seasons), err)
	}
	if took := time.Since(start); took > time.Second {
		t.Errorf("opening and reading took %s", took)
	}
	start = time.Now()
	if _, err := second.Site().Apply(t.Context(), named(second.Site(), "summer"), crop.ApplyOptions{}); crop.CodeOf(err) != crop.Busy {
		t.Errorf("writing: %v, want busy", err)
	}
	if took := time.Since(start); took < time.Second {
		t.Errorf("writing waited %s only", took)
	}
	if _, err := other.ExecContext(t.Context(), "ROLLBACK"); err != nil {
		t.Fatal(err)
	}
	mustApply(t, second.Site(), named(second.Site(), "summer"))
}
