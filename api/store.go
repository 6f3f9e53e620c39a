package api

import (
	"context"
	"time"

	"vinetally/analytics/crop"
)

// Store is what the routes need of a site's records. Errors meant for people are *crop.Error; all others are internal.
type Store interface {
	Records
	Trials
}

// Records keeps single records and their history.
type Records interface {
	// Apply carries out all changes or none, and asks the witness of the options while they are being stored.
	Apply(context.Context, []crop.Change, crop.ApplyOptions) ([]crop.Outcome, error)
	Get(context.Context, crop.Kind, crop.ID) (crop.Stored, error)
	List(context.Context, crop.Kind, crop.Filter) (crop.Page, error)
	History(context.Context, crop.Kind, crop.ID) ([]crop.Stored, error)
	NewID() crop.ID
}

// Trials loads what the analytics are functions of, arranged.
type Trials interface {
	// LoadSeason loads a whole season; temperatures only if asked for.
	LoadSeason(ctx context.Context, season crop.ID, temperatures bool) (*crop.Trial, error)
	// LoadPlant loads the season of a plant with the records of that plant and of its unit alone.
	LoadPlant(ctx context.Context, plant crop.ID, temperatures bool) (*crop.Trial, error)
	// Temperatures returns the readings of a place from one instant to another, both included.
	Temperatures(ctx context.Context, place crop.ID, from, to time.Time) ([]crop.Temperature, error)
	// Catalogue lists what records refer to by name.
	Catalogue(context.Context) (*crop.Catalogue, error)
}
