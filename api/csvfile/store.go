package csvfile

import (
	"context"
	"time"

	"vinetally/analytics/crop"
)

// Reader is what exporting needs of the store.
type Reader interface {
	// Catalogue returns all seasons, places, scales and cultivars.
	Catalogue(ctx context.Context) (*crop.Catalogue, error)
	// Season returns one season with all its records but the temperatures, arranged.
	Season(ctx context.Context, id crop.ID) (*crop.Trial, error)
	// Temperatures returns the readings of a place with from ≤ time ≤ to.
	Temperatures(ctx context.Context, place crop.ID, from, to time.Time) ([]crop.Temperature, error)
}

// Store is what importing needs of the store.
type Store interface {
	// Session runs f and then stores all that it wrote in one transaction, nothing if f returns an error or it is a dry run. Others may
	// write meanwhile: should they change what f read, f is called again, from the beginning.
	Session(ctx context.Context, opts crop.ApplyOptions, f func(Session) error) error
	// NewID makes an id that no record ever had.
	NewID() crop.ID
}

// Session is a view of the store as it was in the beginning; each call sees what those before it wrote. Records that break a rule come back as a
// *crop.Error whose faults name them by their position.
type Session interface {
	// Catalogue returns all seasons, places, scales and cultivars.
	Catalogue(ctx context.Context) (*crop.Catalogue, error)
	// Plants returns the plants of a season with their moves.
	Plants(ctx context.Context, season crop.ID) ([]crop.Plant, error)
	// Had tells whether there were records of a kind when the session began, or ever before.
	Had(kind crop.Kind) bool
	// Alike returns the records of a kind that are of the same plant (place, season, unit) and time as one of stored, among
	// those stored in the beginning and left as they were, or as one of added, among those that this session wrote; and
	// those with one of the ids. Each comes once.
	Alike(ctx context.Context, kind crop.Kind, stored, added []crop.Record, ids []crop.ID) ([]crop.Record, error)
	// Apply carries out all changes or none, from what is current.
	Apply(ctx context.Context, changes []crop.Change) error
	// Add stores new records of one kind, all or none, whose ids no record ever had, and keeps none of them.
	Add(ctx context.Context, kind crop.Kind, records []crop.Record) error
}

var errChanged = crop.Errorf(crop.Stale, "the records changed while they were being read; try again")

// gone takes the absence of a record that the catalogue has for what it is: somebody deleted it meanwhile.
func gone(err error) error {
	if crop.CodeOf(err) == crop.NotFound {
		return errChanged
	}
	return err
}
