package main

import (
	"context"
	"time"

	"vinetally/analytics/crop"
	"vinetally/storage"
)

// database is the flag that every command with records shares.
type database struct {
	DB string `name:"db" env:"VINETALLY_DB" default:"sqlite:vinetally.db" placeholder:"sqlite:FILE" help:"The database: sqlite:FILE (${default}, or the environment variable VINETALLY_DB)."`
}

func (d database) open(ctx context.Context) (*storage.DB, error) {
	return storage.Open(ctx, d.DB, storage.Options{Now: time.Now})
}

// records is the site's store in the shape that the interfaces ask for.
type records struct {
	*storage.Site
}

// LoadSeason loads a season; temperatures are left out unless asked for, there are thousands of them.
func (r records) LoadSeason(ctx context.Context, id crop.ID, temperatures bool) (*crop.Trial, error) {
	return r.Site.LoadSeason(ctx, id, storage.Selection{Temperatures: temperatures})
}

// LoadPlant loads a season with the events of one plant only.
func (r records) LoadPlant(ctx context.Context, id crop.ID) (*crop.Trial, error) {
	return r.Site.LoadPlant(ctx, id, storage.Selection{})
}

// Season loads a season without temperatures.
func (r records) Season(ctx context.Context, id crop.ID) (*crop.Trial, error) {
	return r.LoadSeason(ctx, id, false)
}
