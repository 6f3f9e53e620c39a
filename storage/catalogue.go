package storage

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// Catalogue returns the site's seasons, places, scales and cultivars, each by name.
func (s *Site) Catalogue(ctx context.Context) (*crop.Catalogue, error) {
	var c *crop.Catalogue
	err := s.read(ctx, func(tx *gorm.DB) (err error) {
		c, err = s.catalogue(ctx, tx)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("read catalogue: %w", err)
	}
	return c, nil
}

func (s *Site) catalogue(ctx context.Context, tx *gorm.DB) (*crop.Catalogue, error) {
	change, err := s.change(ctx, tx)
	if err != nil {
		return nil, err
	}
	named := func() *gorm.DB { return tx.WithContext(ctx).Where("site_id = ?", s.id).Order("name") }
	var seasons []seasonRow
	var places []placeRow
	var scales []scaleRow
	var cultivars []cultivarRow
	for _, rows := range []any{&seasons, &places, &scales, &cultivars} {
		if err := named().Find(rows).Error; err != nil {
			return nil, err
		}
	}
	c := &crop.Catalogue{Change: change, Seasons: each(seasons, (*seasonRow).season), Places: each(places, (*placeRow).place),
		Cultivars: each(cultivars, (*cultivarRow).cultivar)}
	c.Scales, err = eachOrFail(scales, (*scaleRow).scale)
	return c, err
}

// each turns rows into what they hold.
func each[R, T any](rows []R, f func(*R) T) []T {
	out := make([]T, len(rows))
	for i := range rows {
		out[i] = f(&rows[i])
	}
	return out
}

func eachOrFail[R, T any](rows []R, f func(*R) (T, error)) ([]T, error) {
	out := make([]T, len(rows))
	for i := range rows {
		var err error
		if out[i], err = f(&rows[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}
