package storage

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// Alike returns the records of a kind that are of the same plant (place, season, unit) and time as one of stored, among those
// that were there when the session began and weren't changed in it, or as one of added, among those that it added and changed; and those
// that have one of the ids. Each comes once, in no order, with moments in UTC. Like a diary entry of no plant are all of
// its season and time. Only the kinds with a time have records alike. A day alone is given the zone of its place first.
func (s *Session) Alike(ctx context.Context, kind crop.Kind, stored, added []crop.Record, ids []crop.ID) ([]crop.Record, error) {
	rows, err := s.alike(ctx, tables[kind], stored, added, ids)
	if err != nil {
		return nil, fmt.Errorf("look for %s: %w", tables[kind].many, translate(ctx, err))
	}
	return recordsOf(rows)
}

func (s *Session) alike(ctx context.Context, t *table, stored, added []crop.Record, ids []crop.ID) ([]row, error) {
	for _, records := range [][]crop.Record{stored, added} {
		if err := s.refs.load(ctx, s.st.q, records, crop.Kinds()...); err != nil {
			return nil, err
		}
		for _, r := range records {
			placeIn(r, s.refs)
		}
	}
	rows, err := fetchRows(ctx, s.st.q, s.site.id, t, ids)
	if err != nil {
		return nil, err
	}
	for columns, values := range likenesses(stored) {
		found, err := s.find(ctx, t, "main.", columns, values, " AND "+notGone(t, "t"))
		if err != nil {
			return nil, err
		}
		rows = append(rows, found...)
	}
	for columns, values := range likenesses(added) {
		if err := s.index(ctx, t, columns); err != nil {
			return nil, err
		}
		found, err := s.find(ctx, t, "aside.", columns, values, "")
		if err != nil {
			return nil, err
		}
		rows = append(rows, found...)
	}
	var looked []crop.ID
	seen := make(map[key]bool, len(rows))
	rows = slices.DeleteFunc(rows, func(r row) bool {
		id := r.base().ID
		twice := seen[id]
		seen[id] = true
		if !twice {
			looked = append(looked, crop.ID(id))
		}
		return twice
	})
	if s.locked || s.o.DryRun {
		return rows, nil
	}
	return rows, s.st.look(ctx, t.kind, looked)
}

// index makes what is kept aside of a kind to be found by columns. Most imports never ask.
func (s *Session) index(ctx context.Context, t *table, columns string) error {
	name := t.name + "_" + strings.ReplaceAll(columns, " ", "_")
	if s.indexed[name] {
		return nil
	}
	s.indexed[name] = true
	return s.st.exec(ctx, fmt.Sprintf("CREATE INDEX IF NOT EXISTS aside.%s ON %s (%s)", name, t.name, strings.ReplaceAll(columns, " ", ", ")))
}

// find reads the rows of a schema's table that are alike in columns.
func (s *Session) find(ctx context.Context, t *table, schema, columns string, values []any, also string) (rows []row, err error) {
	n := strings.Count(columns, " ") + 1
	for part := range slices.Chunk(values, chunk*n) {
		found, err := t.scan(ctx, s.st.q, "SELECT "+t.selected("t.")+" FROM "+alikeIn(schema+t.name, columns, part)+also, append(slices.Clone(part), s.site.id)...)
		if err != nil {
			return nil, err
		}
		rows = append(rows, found...)
	}
	return rows, nil
}

// alikeIn is what follows FROM to find rows of a table, called t, that are alike in columns; it takes the values and the site.
func alikeIn(table, columns string, values []any) string {
	n := strings.Count(columns, " ") + 1
	on := "t.site_id = ?"
	for i, column := range strings.Split(columns, " ") {
		on += fmt.Sprintf(" AND t.%s = w.column%d", column, i+1)
	}
	list := strings.TrimSuffix(strings.Repeat("("+marks(n)+"),", len(values)/n), ",")
	// CROSS JOIN keeps the order of the join: from each wanted time into an index.
	return "(VALUES " + list + ") AS w CROSS JOIN " + table + " AS t WHERE " + on
}

// likenesses gathers what records share with those that are alike: the values, by the columns that they are of.
func likenesses(records []crop.Record) map[string][]any {
	all := map[string][]any{}
	for _, r := range records {
		columns, values := likeness(r)
		all[columns] = append(all[columns], values...)
	}
	return all
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
