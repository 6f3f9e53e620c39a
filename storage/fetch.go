package storage

import (
	"context"
	"errors"
	"slices"
	"strings"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// chunk is how many rows or ids go into one statement. SQLite takes up to 32,766 values (sqlite.org/limits.html, 9).
const chunk = 500

// maxValues is how many values one statement may take.
const maxValues = 32_000

// marks is n question marks for a list.
func marks(n int) string { return strings.TrimSuffix(strings.Repeat("?,", n), ",") }

// fetchRows reads the rows with the given ids, in any order.
func fetchRows(ctx context.Context, q gorm.ConnPool, site int64, t *table, ids []crop.ID) (rows []row, err error) {
	for part := range slices.Chunk(ids, chunk) {
		found, err := t.scan(ctx, q, "SELECT "+t.selected("")+" FROM "+t.name+" WHERE site_id = ? AND id IN ("+marks(len(part))+")",
			siteAndIDs(site, part)...)
		if err != nil {
			return nil, err
		}
		rows = append(rows, found...)
	}
	return rows, nil
}

// fetchRecords reads the records with the given ids, in any order, with plants' moves and moments in UTC.
func fetchRecords(ctx context.Context, q gorm.ConnPool, site int64, t *table, ids []crop.ID) ([]crop.Record, error) {
	rows, err := fetchRows(ctx, q, site, t, ids)
	if err != nil {
		return nil, err
	}
	records, err := recordsOf(rows)
	if err != nil {
		return nil, err
	}
	return records, addMoves(ctx, q, site, records)
}

func recordsOf(rows []row) ([]crop.Record, error) {
	records := make([]crop.Record, len(rows))
	for i, r := range rows {
		rec, err := r.record()
		if err != nil {
			return nil, err
		}
		records[i] = normal(rec)
	}
	return records, nil
}

// fetchHistory reads the history of the records with the given ids, of each the oldest version first.
func fetchHistory(ctx context.Context, q gorm.ConnPool, site int64, kind crop.Kind, ids []crop.ID) (versions []crop.Stored, err error) {
	for part := range slices.Chunk(ids, chunk) {
		found, err := scanRows[historyRow](ctx, q, historyLayout, "SELECT "+historyLayout.selected("")+
			" FROM history WHERE site_id = ? AND kind = ? AND record_id IN ("+marks(len(part))+") ORDER BY record_id, version",
			slices.Insert(siteAndIDs(site, part), 1, any(string(kind)))...)
		if err != nil {
			return nil, err
		}
		for i := range found {
			v, err := found[i].stored()
			if err != nil {
				return nil, err
			}
			versions = append(versions, v)
		}
	}
	return versions, nil
}

// lastDigests fills in the digests of the last versions that the history has of the records with the given ids.
func lastDigests(ctx context.Context, q gorm.ConnPool, site int64, kind crop.Kind, ids []crop.ID, last map[link]int64) error {
	for part := range slices.Chunk(ids, chunk) {
		rows, err := q.QueryContext(ctx, "SELECT record_id, max(version), digest FROM history WHERE site_id = ? AND kind = ? AND record_id IN ("+
			marks(len(part))+") GROUP BY record_id", slices.Insert(siteAndIDs(site, part), 1, any(string(kind)))...)
		if err != nil {
			return err
		}
		for rows.Next() {
			var id key
			var version, digest int64
			if err := rows.Scan(&id, &version, &digest); err != nil {
				return errors.Join(err, rows.Close())
			}
			last[link{kind, crop.ID(id)}] = digest
		}
		if err := errors.Join(rows.Err(), rows.Close()); err != nil {
			return err
		}
	}
	return nil
}

var (
	siteLayout    = layoutOf[siteRow]()
	historyLayout = layoutOf[historyRow]()
	moveLayout    = layoutOf[moveRow]()
)

func siteAndIDs(site int64, ids []crop.ID) []any {
	args := make([]any, 0, len(ids)+2)
	args = append(args, site)
	for _, id := range ids {
		args = append(args, key(id))
	}
	return args
}

// addMoves fills in the moves of the plants among the records.
func addMoves(ctx context.Context, q gorm.ConnPool, site int64, records []crop.Record) error {
	plants := map[crop.ID]*crop.Plant{}
	var ids []crop.ID
	for _, rec := range records {
		if p, ok := rec.(*crop.Plant); ok {
			plants[p.ID] = p
			ids = append(ids, p.ID)
		}
	}
	for part := range slices.Chunk(ids, chunk) {
		moves, err := scanRows[moveRow](ctx, q, moveLayout, "SELECT "+moveLayout.selected("")+
			" FROM plant_moves WHERE site_id = ? AND plant_id IN ("+marks(len(part))+") ORDER BY plant_id, moved_on",
			siteAndIDs(site, part)...)
		if err != nil {
			return err
		}
		for i := range moves {
			p := plants[crop.ID(moves[i].PlantID)]
			p.Moves = append(p.Moves, moves[i].move())
		}
	}
	return nil
}
