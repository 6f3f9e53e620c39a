package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"vinetally/analytics/crop"
	"vinetally/api/csvfile"
	"vinetally/storage"
)

// database is the flag that every command with records shares.
type database struct {
	DB string `name:"db" env:"VINETALLY_DB" default:"sqlite:vinetally.db" placeholder:"sqlite:FILE" help:"The database: sqlite:FILE (${default}, or the environment variable VINETALLY_DB)."`
}

// open opens a database that is there, so that a mistyped name makes none.
func (d database) open(ctx context.Context) (*storage.DB, error) {
	path, there, err := storage.Exists(d.DB)
	if err != nil {
		return nil, err
	}
	if !there {
		return nil, fmt.Errorf("%w: there is none at %s; name the right file with --db sqlite:FILE, or make it with vinetally import", storage.ErrMissing, path)
	}
	return storage.Open(ctx, d.DB, storage.Options{Now: time.Now})
}

// openOrMake opens a database, makes it if there is none, and says so. done closes it.
func (d database) openOrMake(ctx context.Context, s streams) (db *storage.DB, done func(), err error) {
	path, there, err := storage.Exists(d.DB)
	if err != nil {
		return nil, nil, err
	}
	db, err = storage.Open(ctx, d.DB, storage.Options{Now: time.Now})
	if err != nil {
		return nil, nil, err
	}
	if !there {
		fmt.Fprintf(s.out, "Made the new database %s\n", path)
	}
	return db, func() { _ = db.Close() }, nil
}

// openToTry opens a database that nothing will be stored in: where there is none, an empty one in a folder for temporary
// files. done closes it and removes that folder.
func (d database) openToTry(ctx context.Context, s streams) (db *storage.DB, done func(), err error) {
	path, there, err := storage.Exists(d.DB)
	if err != nil {
		return nil, nil, err
	}
	if there {
		db, err := d.open(ctx)
		return db, func() { _ = db.Close() }, err
	}
	dir, err := os.MkdirTemp("", "vinetally-try-")
	if err != nil {
		return nil, nil, fmt.Errorf("make a folder for temporary files: %w", err)
	}
	db, err = storage.Open(ctx, "sqlite:"+filepath.Join(dir, "empty.db"), storage.Options{Now: time.Now})
	if err != nil {
		_ = os.RemoveAll(dir)
		return nil, nil, err
	}
	fmt.Fprintf(s.out, "There is no database %s yet, so this is tried with an empty one.\n", path)
	return db, func() { _ = errors.Join(db.Close(), os.RemoveAll(dir)) }, nil
}

// records is the site's store in the shape that the interfaces ask for.
type records struct {
	*storage.Site
}

// Session is one transaction for an import.
func (r records) Session(ctx context.Context, o crop.ApplyOptions, f func(csvfile.Session) error) error {
	return r.Site.Session(ctx, o, func(s *storage.Session) error { return f(s) })
}

// LoadSeason loads a season; temperatures are left out unless asked for, there are thousands of them.
func (r records) LoadSeason(ctx context.Context, id crop.ID, temperatures bool) (*crop.Trial, error) {
	return r.Site.LoadSeason(ctx, id, storage.Selection{Temperatures: temperatures})
}

// LoadPlant loads a season with the events of one plant only.
func (r records) LoadPlant(ctx context.Context, id crop.ID, temperatures bool) (*crop.Trial, error) {
	return r.Site.LoadPlant(ctx, id, storage.Selection{Temperatures: temperatures})
}

// Season loads a season with everything.
func (r records) Season(ctx context.Context, id crop.ID) (*crop.Trial, error) {
	return r.LoadSeason(ctx, id, true)
}
