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

// Page limits of List.
const (
	defaultLimit = 100
	maxLimit     = 500
)

// List returns records of a kind by time and id, or by name (label) and id, with what the filter asks for; a filter that
// the kind has no field for is refused. place_id finds the records of every plant that ever stood there. From and To are
// compared with the stand-in for moments that are a day alone, noon, and with the day of germination counts.
func (s *Site) List(ctx context.Context, kind crop.Kind, f crop.Filter) (crop.Page, error) {
	t, err := tableOf(kind)
	if err != nil {
		return crop.Page{}, err
	}
	conditions, err := t.conditions(s.id, f)
	if err != nil {
		return crop.Page{}, err
	}
	limit := f.Limit
	if limit == 0 {
		limit = defaultLimit
	}
	var page crop.Page
	err = s.read(ctx, func(tx *gorm.DB) error {
		query := tx.Order(t.order.column).Order("id").Limit(limit + 1)
		for _, c := range conditions {
			query = query.Where(c.sql, c.args...)
		}
		rows, err := t.list(ctx, query)
		if err != nil {
			return err
		}
		if len(rows) > limit {
			rows = rows[:limit]
			page.Next = t.cursorAfter(rows[limit-1]).String()
		}
		page.Items, err = s.storedOf(ctx, tx, rows)
		return err
	})
	if err != nil {
		return crop.Page{}, fmt.Errorf("list %s: %w", t.many, err)
	}
	return page, nil
}

type condition struct {
	sql  string
	args []any
}

// conditions turn a filter into SQL.
func (t *table) conditions(site int64, f crop.Filter) ([]condition, error) {
	all := []condition{{"site_id = ?", []any{site}}}
	var faults []crop.Fault
	refuse := func(field, format string, args ...any) {
		faults = append(faults, crop.Fault{Pointer: "/" + field, Detail: fmt.Sprintf(format, args...)})
	}
	byID := func(field, sql string, id *crop.ID) {
		switch {
		case id == nil:
		case sql == "":
			refuse(field, "is given, but %s can't be narrowed by it; leave it out", t.many)
		default:
			all = append(all, condition{sql, []any{map[string]any{"site": site, "id": key(*id)}}})
		}
	}
	byID("season_id", t.filters.season, f.SeasonID)
	byID("place_id", t.filters.place, f.PlaceID)
	byID("cultivar_id", t.filters.cultivar, f.CultivarID)
	byID("plant_id", t.filters.plant, f.PlantID)
	if f.From != nil {
		if t.order.when == noTime {
			refuse("from", "is given, but %s have no time; leave it out", t.many)
		}
		all = append(all, condition{t.order.column + " >= ?", []any{t.order.bound(*f.From)}})
	}
	if f.To != nil {
		if t.order.when == noTime {
			refuse("to", "is given, but %s have no time; leave it out", t.many)
		}
		all = append(all, condition{t.order.column + " <= ?", []any{t.order.bound(*f.To)}})
	}
	if f.Limit < 0 || f.Limit > maxLimit {
		refuse("limit", "is %d; it must be 1 to %d, or left out for %d", f.Limit, maxLimit, defaultLimit)
	}
	if len(faults) > 0 {
		return nil, &crop.Error{Code: crop.Invalid, Message: "the list can't be narrowed this way", Faults: faults}
	}
	if f.Cursor != "" {
		c, err := parseCursor(t.kind, f.Cursor)
		if err != nil {
			return nil, err
		}
		all = append(all, condition{"(" + t.order.column + ", id) > (?, ?)", []any{c.position(t.order), key(c.ID)}})
	}
	return all, nil
}

// storedOf turns rows of one kind into records, with plants' moves and the moments in the zones of their places.
func (s *Site) storedOf(ctx context.Context, tx *gorm.DB, rows []row) ([]crop.Stored, error) {
	stored := make([]crop.Stored, len(rows))
	records := make([]crop.Record, len(rows))
	for i, r := range rows {
		rec, err := r.record()
		if err != nil {
			return nil, err
		}
		b := r.base()
		records[i] = normal(rec)
		stored[i] = crop.Stored{Record: rec, Version: b.Version, RecordedAt: b.RecordedAt.time(), Actor: b.Actor}
	}
	if err := addMoves(ctx, tx.Statement.ConnPool, s.id, records); err != nil {
		return nil, err
	}
	return stored, s.place(ctx, tx.Statement.ConnPool, records)
}
