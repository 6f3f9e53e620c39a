package storage

import (
	"cmp"
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// Page limits of List.
const (
	defaultLimit = 100
	maxLimit     = 500
)

// narrowChunk is how many rows are read at once where not all of them need fit.
const narrowChunk = 250

// List returns records of a kind by time and id, or by name (label) and id, with what the filter asks for; a filter that
// the kind has no field for is refused. place_id finds the plants that ever stood there, and of what was recorded of a plant
// that which was recorded there. From and To are compared with the stand-in for moments that are a day alone, noon; FromDay
// and ToDay with the day at the place, in UTC where there is none; all of them with the day of germination counts.
func (s *Site) List(ctx context.Context, kind crop.Kind, f crop.Filter) (crop.Page, error) {
	t, err := tableOf(kind)
	if err != nil {
		return crop.Page{}, err
	}
	conditions, err := t.conditions(s.id, f)
	if err != nil {
		return crop.Page{}, err
	}
	l := &lister{site: s, table: t, filter: f, conditions: conditions, limit: cmp.Or(f.Limit, defaultLimit)}
	if f.Cursor != "" {
		c, err := parseCursor(t.kind, f.Cursor)
		if err != nil {
			return crop.Page{}, err
		}
		l.after = &c
	}
	var page crop.Page
	err = s.read(ctx, func(tx *gorm.DB) (err error) {
		page, err = l.page(ctx, tx)
		return err
	})
	if err != nil {
		return crop.Page{}, fmt.Errorf("list %s: %w", t.many, err)
	}
	return page, nil
}

// lister reads one page.
type lister struct {
	site       *Site
	table      *table
	filter     crop.Filter
	conditions []condition
	limit      int
	after      *cursor // nil at the beginning
}

func (l *lister) page(ctx context.Context, tx *gorm.DB) (crop.Page, error) {
	page := crop.Page{Items: []crop.Stored{}}
	var last row
	chunk := l.limit + 1
	if l.narrows() {
		chunk = max(chunk, narrowChunk)
	}
	for {
		rows, err := l.rows(ctx, tx, chunk)
		if err != nil {
			return page, err
		}
		stored, refs, err := l.site.placedOf(ctx, tx, rows)
		if err != nil {
			return page, err
		}
		for i := range stored {
			if !l.fits(stored[i].Record, refs) {
				continue
			}
			if len(page.Items) == l.limit {
				page.Next = l.table.cursorAfter(last).String()
				return page, nil
			}
			page.Items, last = append(page.Items, stored[i]), rows[i]
		}
		if len(rows) < chunk {
			return page, nil
		}
		l.after = new(l.table.cursorAfter(rows[len(rows)-1]))
	}
}

func (l *lister) rows(ctx context.Context, tx *gorm.DB, n int) ([]row, error) {
	column := l.table.order.column
	query := tx.Order(column).Order("id").Limit(n)
	for _, c := range l.conditions {
		query = query.Where(c.sql, c.args...)
	}
	if l.after != nil {
		query = query.Where("("+column+", id) > (?, ?)", l.after.position(l.table.order), key(l.after.ID))
	}
	return l.table.list(ctx, query)
}

// narrows tells whether the filter asks for what the rows don't say by themselves: the day at the place, and which place that
// was.
func (l *lister) narrows() bool {
	days := l.filter.FromDay != nil || l.filter.ToDay != nil
	return l.table.order.when == instant && (days || l.filter.PlaceID != nil && l.table.kind != crop.Temperatures)
}

func (l *lister) fits(rec crop.Record, refs *refs) bool {
	if !l.narrows() {
		return true
	}
	m := crop.MomentOf(rec)
	if t, ok := rec.(*crop.Temperature); ok {
		m = new(crop.InstantMoment(t.MeasuredAt))
	}
	if m == nil {
		return true
	}
	day := m.LocalDate()
	if from := l.filter.FromDay; from != nil && day.Before(*from) {
		return false
	}
	if to := l.filter.ToDay; to != nil && day.After(*to) {
		return false
	}
	if l.filter.PlaceID == nil {
		return true
	}
	p, ok := refs.Plant(plantOf(rec))
	return !ok || crop.PlaceAt(p, *m, refs) == *l.filter.PlaceID // a unit was found by its own place
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
	for _, b := range []struct {
		field, sign string
		at          *time.Time
		day         *crop.Date
		slack       time.Duration // from the day's end in UTC to that of the zone where it begins first, or ends last
	}{{"from", ">=", f.From, f.FromDay, -14 * time.Hour}, {"to", "<=", f.To, f.ToDay, 12 * time.Hour}} {
		switch {
		case b.at == nil && b.day == nil:
			continue
		case t.order.when == noTime:
			refuse(b.field, "is given, but %s have no time; leave it out", t.many)
			continue
		}
		if b.at != nil {
			all = append(all, condition{t.order.column + " " + b.sign + " ?", []any{t.order.bound(*b.at)}})
		}
		if b.day == nil {
			continue
		}
		var value any = day(*b.day)
		if t.order.when == instant { // wherever the place is; which day it was there is looked at later
			at := b.day.Start(time.UTC)
			if b.field == "to" {
				at = crop.DayMoment(*b.day, time.UTC).Latest()
			}
			value = millisOf(at.Add(b.slack))
		}
		all = append(all, condition{t.order.column + " " + b.sign + " ?", []any{value}})
	}
	if f.Limit < 0 || f.Limit > maxLimit {
		refuse("limit", "is %d; it must be 1 to %d, or left out for %d", f.Limit, maxLimit, defaultLimit)
	}
	if len(faults) > 0 {
		return nil, &crop.Error{Code: crop.Invalid, Message: "the list can't be narrowed this way", Faults: faults}
	}
	return all, nil
}
