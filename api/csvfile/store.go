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
	Reader
	// Apply carries out all changes or none. Records that break a rule come back as a *crop.Error whose faults name the
	// change by its position; a site that has moved on since IfChange comes back as crop.Stale.
	Apply(ctx context.Context, changes []crop.Change, opts crop.ApplyOptions) ([]crop.Outcome, error)
	// NewID makes an id for a new record.
	NewID() crop.ID
}

var errChanged = crop.Errorf(crop.Stale, "the records changed while they were being read; try again")

// gone takes the absence of a record that the catalogue has for what it is: somebody deleted it meanwhile.
func gone(err error) error {
	if crop.CodeOf(err) == crop.NotFound {
		return errChanged
	}
	return err
}
