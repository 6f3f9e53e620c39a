package storage

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// digestLayout is the version of the tables whose columns the digests of current versions are over. A migration that
// changes the columns of a record table raises it to its own version. PRAGMA user_version holds the layout that the digests
// of a file were made with; the digests of the history are over what never changes, and are made once.
const digestLayout = 3

const userVersion = `PRAGMA user_version`

// fillDigests gives the rows of a file that was made with other columns their digests, all or none. It costs one look
// at the file's first page where there is nothing to do.
func fillDigests(ctx context.Context, pool *sql.DB) (err error) {
	var layout int64
	if err := pool.QueryRowContext(ctx, userVersion).Scan(&layout); err != nil || layout >= digestLayout {
		return err
	}
	tx, err := pool.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(fmt.Errorf("give records their digests: %w", err), tx.Rollback())
		}
	}()
	// Another program may have done it by now.
	if err := tx.QueryRowContext(ctx, userVersion).Scan(&layout); err != nil || layout >= digestLayout {
		return errors.Join(err, tx.Rollback())
	}
	f := &filler{ctx: ctx, q: tx}
	if err := f.sites(layout == 0); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("%s = %d", userVersion, digestLayout)); err != nil {
		return err
	}
	return tx.Commit()
}

type filler struct {
	ctx     context.Context
	q       gorm.ConnPool
	digests digester
}

// sites gives every site's rows their digests, and those that never change if the file has none yet.
func (f *filler) sites(first bool) error {
	sites, err := scanRows[siteRow](f.ctx, f.q, siteLayout, "SELECT "+siteLayout.selected("")+" FROM sites")
	if err != nil {
		return err
	}
	for i := range sites {
		s := &sites[i]
		if first {
			if _, err := f.q.ExecContext(f.ctx, "UPDATE sites SET digest = ? WHERE id = ?", f.digests.site(s), s.ID); err != nil {
				return err
			}
			if err := f.history(s.ID); err != nil {
				return err
			}
		}
		for _, kind := range crop.Kinds() {
			if err := f.rows(s.ID, tables[kind]); err != nil {
				return err
			}
		}
	}
	return nil
}

func (f *filler) history(site int64) error {
	update, err := f.q.PrepareContext(f.ctx, "UPDATE history SET digest = ? WHERE site_id = ? AND kind = ? AND record_id = ? AND version = ?")
	if err != nil {
		return err
	}
	defer update.Close()
	return eachVersion(f.ctx, f.q, site, func(h *historyRow, previous int64) (int64, error) {
		digest := f.digests.history(h, previous)
		_, err := update.ExecContext(f.ctx, digest, site, h.Kind, h.RecordID, h.Version)
		return digest, err
	})
}

// eachVersion calls f for every version in the history, record by record from the oldest, with what f returned for the
// version of the record before, 0 for the first.
func eachVersion(ctx context.Context, q gorm.ConnPool, site int64, f func(h *historyRow, previous int64) (int64, error)) error {
	var last historyRow
	var digest int64
	for {
		part, err := scanRows[historyRow](ctx, q, historyLayout, "SELECT "+historyLayout.selected("")+" FROM history"+
			" WHERE site_id = ? AND (kind, record_id, version) > (?, ?, ?) ORDER BY kind, record_id, version LIMIT ?",
			site, last.Kind, last.RecordID, last.Version, chunk)
		if err != nil || len(part) == 0 {
			return err
		}
		for i := range part {
			h := &part[i]
			if h.Kind != last.Kind || h.RecordID != last.RecordID {
				digest = 0
			}
			if digest, err = f(h, digest); err != nil {
				return err
			}
			if h.compare(&last) <= 0 {
				return fmt.Errorf("%w: the history is out of order", ErrCorrupt)
			}
			last = *h
		}
	}
}

func (f *filler) rows(site int64, t *table) error {
	update, err := f.q.PrepareContext(f.ctx, "UPDATE "+t.name+" SET digest = ? WHERE site_id = ? AND id = ?")
	if err != nil {
		return err
	}
	defer update.Close()
	return eachRows(f.ctx, f.q, site, t, func(rows []row, previous map[link]int64) error {
		for _, r := range rows {
			id := r.base().ID
			digest := f.digests.row(site, t.kind, r, previous[link{t.kind, crop.ID(id)}])
			if _, err := update.ExecContext(f.ctx, digest, site, id); err != nil {
				return err
			}
		}
		return nil
	})
}

// eachRows calls f for all rows of a kind, hundreds at a time, with the digests of the versions before them.
func eachRows(ctx context.Context, q gorm.ConnPool, site int64, t *table, f func(rows []row, previous map[link]int64) error) error {
	var last key
	for {
		rows, err := t.scanWritten(ctx, q, "SELECT "+t.written.selected("")+" FROM "+t.name+" WHERE site_id = ? AND id > ? ORDER BY id LIMIT ?",
			site, last, chunk)
		if err != nil || len(rows) == 0 {
			return err
		}
		ids := make([]crop.ID, len(rows))
		for i, r := range rows {
			ids[i] = r.base().id()
		}
		if t.kind == crop.Plants {
			if err := fillMoves(ctx, q, site, rows); err != nil {
				return err
			}
		}
		previous := map[link]int64{}
		if err := lastDigests(ctx, q, site, t.kind, ids, previous); err != nil {
			return err
		}
		if err := f(rows, previous); err != nil {
			return err
		}
		end := rows[len(rows)-1].base().ID
		if bytes.Compare(end[:], last[:]) <= 0 {
			return fmt.Errorf("%w: the ids of %s are out of order", ErrCorrupt, t.many)
		}
		last = end
	}
}

// fillMoves gives rows of plants their moves.
func fillMoves(ctx context.Context, q gorm.ConnPool, site int64, rows []row) error {
	plants, err := recordsOf(rows)
	if err != nil {
		return err
	}
	if err := addMoves(ctx, q, site, plants); err != nil {
		return err
	}
	for i, r := range rows {
		r.(*plantRow).moves = plants[i].(*crop.Plant).Moves
	}
	return nil
}
