package storage

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// tableOf returns the table of a kind.
func tableOf(kind crop.Kind) (*table, error) {
	t, ok := tables[kind]
	if !ok {
		return nil, crop.Errorf(crop.NotFound, "there are no records of the kind %q", kind)
	}
	return t, nil
}

// Get returns the current version of a record, or crop.NotFound.
func (s *Site) Get(ctx context.Context, kind crop.Kind, id crop.ID) (crop.Stored, error) {
	t, err := tableOf(kind)
	if err != nil {
		return crop.Stored{}, err
	}
	var found []crop.Stored
	err = s.read(ctx, func(tx *gorm.DB) error {
		rows, err := t.list(ctx, tx.Where("site_id = ? AND id = ?", s.id, key(id)))
		if err != nil {
			return err
		}
		found, err = s.storedOf(ctx, tx, rows)
		return err
	})
	switch {
	case err != nil:
		return crop.Stored{}, fmt.Errorf("get %s: %w", t.one, err)
	case len(found) == 0:
		return crop.Stored{}, notFound(t, id)
	}
	return found[0], nil
}

func notFound(t *table, id crop.ID) error {
	return crop.Errorf(crop.NotFound, "there is no %s %s; it may have been deleted, or be of another kind", t.one, id)
}

// storedOf turns rows of one kind into records, with plants' moves and the moments in the zones of their places.
func (s *Site) storedOf(ctx context.Context, tx *gorm.DB, rows []row) ([]crop.Stored, error) {
	stored, _, err := s.placedOf(ctx, tx, rows)
	return stored, err
}

// placedOf also returns the plants and places that the records refer to.
func (s *Site) placedOf(ctx context.Context, tx *gorm.DB, rows []row) ([]crop.Stored, *refs, error) {
	stored := make([]crop.Stored, len(rows))
	records := make([]crop.Record, len(rows))
	for i, r := range rows {
		rec, err := r.record()
		if err != nil {
			return nil, nil, err
		}
		b := r.base()
		records[i] = normal(rec)
		stored[i] = crop.Stored{Record: rec, Version: b.Version, RecordedAt: b.RecordedAt.time(), Actor: b.Actor}
	}
	if err := addMoves(ctx, tx.Statement.ConnPool, s.id, records); err != nil {
		return nil, nil, err
	}
	r, err := s.place(ctx, tx.Statement.ConnPool, records)
	return stored, r, err
}
