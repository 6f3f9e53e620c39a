package storage

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// LoadEvidence returns what the ledger of one plant rests on, by a few small queries whatever the size of the season: the
// plant's counts, pickings and losses, and those of units of its cultivar in its season. The season's other plants are left
// out, so it can't be told whether a unit has no other plant.
func (s *Site) LoadEvidence(ctx context.Context, plant crop.ID) (*crop.Trial, error) {
	var t *crop.Trial
	err := s.read(ctx, func(tx *gorm.DB) (err error) {
		t, err = loadEvidence(ctx, tx.Statement.ConnPool, s.id, plant)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("load evidence: %w", err)
	}
	return t, nil
}

func loadEvidence(ctx context.Context, q gorm.ConnPool, site int64, plant crop.ID) (*crop.Trial, error) {
	found, err := fetchRecords(ctx, q, site, tables[crop.Plants], []crop.ID{plant})
	if err != nil {
		return nil, err
	}
	if len(found) == 0 {
		return nil, notFound(tables[crop.Plants], plant)
	}
	p := found[0].(*crop.Plant)
	t := &crop.Trial{Plants: []crop.Plant{*p}}
	r := newRefs(site)
	if err := r.load(ctx, q, found, crop.Cultivars, crop.Scales, crop.Places); err != nil {
		return nil, err
	}
	for _, rec := range r.known {
		switch rec := rec.(type) {
		case *crop.Cultivar:
			t.Cultivars = append(t.Cultivars, *rec)
		case *crop.Scale:
			t.Scales = append(t.Scales, *rec)
		case *crop.Place:
			t.Places = append(t.Places, *rec)
		}
	}
	if err := loadEvents(ctx, q, site, p, t); err != nil {
		return nil, err
	}
	t.Arrange()
	return t, nil
}

func loadEvents(ctx context.Context, q gorm.ConnPool, site int64, p *crop.Plant, t *crop.Trial) error {
	own := func(kind crop.Kind) string {
		return "SELECT " + tables[kind].selected("") + " FROM " + tables[kind].name + " WHERE site_id = ?1 AND plant_id = ?2"
	}
	withUnits := func(kind crop.Kind) string {
		return own(kind) + " UNION ALL SELECT " + tables[kind].selected("") + " FROM " + tables[kind].name +
			" WHERE site_id = ?1 AND season_id = ?3 AND cultivar_id = ?4"
	}
	args := []any{site, key(p.ID), key(p.SeasonID), key(p.CultivarID)}
	visits, err := scanRows[visitRow](ctx, q, tables[crop.Visits].layout, own(crop.Visits), args[:2]...)
	if err != nil {
		return err
	}
	if t.Visits, err = eachOrFail(visits, (*visitRow).visit); err != nil {
		return err
	}
	pickings, err := scanRows[pickingRow](ctx, q, tables[crop.Pickings].layout, withUnits(crop.Pickings), args...)
	if err != nil {
		return err
	}
	t.Pickings = each(pickings, (*pickingRow).picking)
	losses, err := scanRows[lossRow](ctx, q, tables[crop.Losses].layout, withUnits(crop.Losses), args...)
	t.Losses = each(losses, (*lossRow).loss)
	return err
}
