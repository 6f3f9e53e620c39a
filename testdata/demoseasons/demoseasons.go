// Package demoseasons loads the invented demo trial for tests, the way a user gets it: its CSV files are imported into a
// new database and its seasons loaded from there.
package demoseasons

import (
	"context"
	"io"
	"io/fs"
	"path/filepath"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/api/csvfile"
	"vinetally/storage"
	"vinetally/testdata"
)

// The seasons' names.
const (
	Autumn = "Autumn 2026 (invented)" // ends with ripe fruit left on the vine
	Winter = "Winter 2026 (invented)" // finished: everything picked, lost or cleared
)

// site is the store in the shape that importing asks for.
type site struct{ *storage.Site }

func (s site) Season(ctx context.Context, id crop.ID) (*crop.Trial, error) {
	return s.LoadSeason(ctx, id, storage.Selection{Temperatures: true})
}

// Load returns the trial's seasons by name, and fails the test where they can't be loaded.
func Load(t testing.TB) map[string]*crop.Trial {
	t.Helper()
	trials, err := load(context.Background(), filepath.Join(t.TempDir(), "demo.db"))
	if err != nil {
		t.Fatal(err)
	}
	return trials
}

// Session is one transaction for an import.
func (s site) Session(ctx context.Context, o crop.ApplyOptions, f func(csvfile.Session) error) error {
	return s.Site.Session(ctx, o, func(t *storage.Session) error { return f(t) })
}

func load(ctx context.Context, file string) (map[string]*crop.Trial, error) {
	db, err := storage.Open(ctx, "sqlite:"+file, storage.Options{Now: time.Now})
	if err != nil {
		return nil, err
	}
	defer db.Close()
	names, err := fs.Glob(testdata.Demo(), "*.csv")
	if err != nil {
		return nil, err
	}
	var sources []csvfile.Source
	for _, name := range names {
		sources = append(sources, csvfile.Source{Name: name, Open: func() (io.ReadCloser, error) { return testdata.Demo().Open(name) }})
	}
	s := site{db.Site()}
	if _, err := csvfile.Import(ctx, s, sources, csvfile.Options{}); err != nil {
		return nil, err
	}
	catalogue, err := s.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	trials := map[string]*crop.Trial{}
	for _, season := range catalogue.Seasons {
		if trials[season.Name], err = s.Season(ctx, season.ID); err != nil {
			return nil, err
		}
	}
	return trials, nil
}
