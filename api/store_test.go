package api

import (
	"context"
	"path/filepath"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/storage"
)

// site is the real store in the shape the routes ask for.
type site struct{ *storage.Site }

func (s site) LoadSeason(ctx context.Context, id crop.ID, temperatures bool) (*crop.Trial, error) {
	return s.Site.LoadSeason(ctx, id, storage.Selection{Temperatures: temperatures})
}

func (s site) LoadPlant(ctx context.Context, id crop.ID, temperatures bool) (*crop.Trial, error) {
	return s.Site.LoadPlant(ctx, id, storage.Selection{Temperatures: temperatures})
}

// testClient works on a new database of its own.
func testClient(t testing.TB) *client {
	t.Helper()
	return newClient(t, newSite(t))
}

func newSite(t testing.TB) site { t.Helper(); return newSiteAt(t, testNow) }

// newSiteAt is a store whose clock stands at a moment.
func newSiteAt(t testing.TB, now time.Time) site {
	t.Helper()
	db, err := storage.Open(context.Background(), filepath.Join(t.TempDir(), "test.db"), storage.Options{Now: func() time.Time { return now }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Errorf("close the database: %v", err)
		}
	})
	return site{db.Site()}
}
