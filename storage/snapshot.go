package storage

import (
	"context"
	"errors"

	"gorm.io/gorm"
)

// Snapshot calls f with the site as it stands now: everything read through view is of this one state, whatever others write
// meanwhile. view is for reading, by one goroutine, and not after f has returned.
func (s *Site) Snapshot(ctx context.Context, f func(view *Site) error) error {
	return s.read(ctx, func(tx *gorm.DB) error {
		if _, err := s.change(ctx, tx); err != nil { // SQLite takes the state at the first reading, not before
			return err
		}
		return f(&Site{db: s.db, id: s.id, view: tx})
	})
}

var errView = errors.New("a view of one state of the database can't be written")
