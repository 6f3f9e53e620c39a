package storage

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// History returns every version of a record, the oldest first and the current one last; deletions are versions too. The
// days and instants are as they were recorded, shown in the zones of today's places.
func (s *Site) History(ctx context.Context, kind crop.Kind, id crop.ID) ([]crop.Stored, error) {
	t, err := tableOf(kind)
	if err != nil {
		return nil, err
	}
	var versions []crop.Stored
	err = s.read(ctx, func(tx *gorm.DB) error {
		past, err := fetchHistory(ctx, tx.Statement.ConnPool, s.id, kind, []crop.ID{id})
		if err != nil {
			return err
		}
		rows, err := t.list(ctx, tx.Where("site_id = ? AND id = ?", s.id, key(id)))
		if err != nil {
			return err
		}
		current, err := s.storedOf(ctx, tx, rows)
		if err != nil {
			return err
		}
		records := make([]crop.Record, len(past))
		for i := range past {
			records[i] = past[i].Record
		}
		versions = append(past, current...)
		_, err = s.place(ctx, tx.Statement.ConnPool, records)
		return err
	})
	switch {
	case err != nil:
		return nil, fmt.Errorf("history of %s: %w", t.one, err)
	case len(versions) == 0:
		return nil, notFound(t, id)
	}
	return versions, nil
}
