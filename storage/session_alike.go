package storage

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// Alike returns the stored records of a kind that are of the same plant (place, season, unit) and time as one of records,
// and those that have one of the ids; each once, in no order, with moments in UTC. Like a diary entry of no plant are all of
// its season and time. Only the kinds with a time have records alike. A day alone is given the zone of its place first.
func (s *Session) Alike(ctx context.Context, kind crop.Kind, records []crop.Record, ids []crop.ID) ([]crop.Record, error) {
	t := tables[kind]
	if err := s.refs.load(ctx, s.q, records, crop.Kinds()...); err != nil {
		return nil, fmt.Errorf("look for %s: %w", t.many, translate(ctx, err))
	}
	rows, err := fetchRows(ctx, s.q, s.site.id, t, ids)
	if err != nil {
		return nil, fmt.Errorf("look for %s: %w", t.many, translate(ctx, err))
	}
	wanted := map[string][]any{} // values by the columns that they are of
	for _, r := range records {
		placeIn(r, s.refs)
		columns, values := likeness(r)
		wanted[columns] = append(wanted[columns], values...)
	}
	for columns, values := range wanted {
		found, err := s.alike(ctx, t, strings.Split(columns, " "), values)
		if err != nil {
			return nil, fmt.Errorf("look for %s: %w", t.many, translate(ctx, err))
		}
		rows = append(rows, found...)
	}
	seen := make(map[key]bool, len(rows))
	rows = slices.DeleteFunc(rows, func(r row) bool {
		id := r.base().ID
		twice := seen[id]
		seen[id] = true
		return twice
	})
	return recordsOf(rows)
}

func (s *Session) alike(ctx context.Context, t *table, columns []string, values []any) (rows []row, err error) {
	on := "t.site_id = ?"
	for i, column := range columns {
		on += fmt.Sprintf(" AND t.%s = w.column%d", column, i+1)
	}
	for part := range slices.Chunk(values, chunk*len(columns)) {
		list := strings.TrimSuffix(strings.Repeat("("+marks(len(columns))+"),", len(part)/len(columns)), ",")
		// CROSS JOIN keeps the order of the join: from each wanted time into an index.
		found, err := t.scan(ctx, s.q, "SELECT "+t.selected("t.")+" FROM (VALUES "+list+") AS w CROSS JOIN "+t.name+" AS t ON "+on,
			append(slices.Clone(part), s.site.id)...)
		if err != nil {
			return nil, err
		}
		rows = append(rows, found...)
	}
	return rows, nil
}

// likeness returns what alike records share: the columns, which an index begins with, and their values.
func likeness(r crop.Record) (columns string, values []any) {
	ofFruit := func(plant *crop.ID, u crop.Unit, column string, m crop.Moment) (string, []any) {
		at := int64(millisOf(m.At))
		if plant != nil {
			return "plant_id " + column, []any{keyOf(plant), at}
		}
		return column + " season_id place_id cultivar_id", []any{at, keyOf(u.SeasonID), keyOf(u.PlaceID), keyOf(u.CultivarID)}
	}
	switch r := r.(type) {
	case *crop.Visit:
		return ofFruit(&r.PlantID, crop.Unit{}, "counted_at", r.CountedAt)
	case *crop.Picking:
		return ofFruit(r.PlantID, r.Unit, "picked_at", r.PickedAt)
	case *crop.Loss:
		return ofFruit(r.PlantID, r.Unit, "lost_at", r.LostAt)
	case *crop.DiaryEntry:
		if r.PlantID != nil {
			return "plant_id noted_at", []any{keyOf(r.PlantID), int64(millisOf(r.NotedAt.At))}
		}
		return "season_id noted_at", []any{key(r.SeasonID), int64(millisOf(r.NotedAt.At))}
	case *crop.Temperature:
		return "place_id measured_at", []any{key(r.PlaceID), int64(millisOf(r.MeasuredAt))}
	case *crop.Germination:
		return "season_id counted_on", []any{key(r.SeasonID), dayOf(r.CountedOn)}
	}
	return "id", []any{key(r.Identity())}
}
