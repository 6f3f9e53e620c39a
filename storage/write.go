package storage

import (
	"context"
	"database/sql"
	"slices"
	"strings"
	"sync"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// write stores what the batch came to: rows that go, rows that come or change, the moves of plants, the history. The
// order doesn't matter to foreign keys, which are checked at the commit.
func (b *batch) write() error {
	w := writes{rows: map[crop.Kind][]any{}, gone: map[crop.Kind][]crop.ID{}}
	if b.aside != nil {
		w.edited = map[crop.Kind][]crop.ID{}
	}
	chain, err := b.lastDigests()
	if err != nil {
		return err
	}
	for _, e := range b.order {
		if !e.wrote {
			continue
		}
		switch {
		case e.stored == nil:
		case e.first || !e.exists():
			w.gone[e.kind] = append(w.gone[e.kind], e.id)
		case b.aside != nil:
			w.edited[e.kind] = append(w.edited[e.kind], e.id)
		}
		if e.stored != nil && e.kind == crop.Plants {
			w.unmoved = append(w.unmoved, e.id)
		}
		kept, previous, err := b.historyOf(e, chain[e.link])
		if err != nil {
			return err
		}
		w.history = append(w.history, kept...)
		if !e.exists() {
			continue
		}
		r, err := tables[e.kind].toRow(e.top.record)
		if err != nil {
			return err
		}
		*r.base() = rowBase{SiteID: b.site, ID: key(e.id), Version: e.top.number, RecordedAt: millisOf(e.top.at), Actor: e.top.actor}
		r.base().Digest = b.digests.row(b.site, e.kind, r, previous)
		w.rows[e.kind] = append(w.rows[e.kind], r)
		if p, ok := e.top.record.(*crop.Plant); ok {
			for _, m := range moveRows(b.site, p) {
				w.moves = append(w.moves, &m)
			}
		}
	}
	if b.aside != nil {
		return b.aside.keep(b.ctx, &w)
	}
	return b.carryOut(&w)
}

// writes are what a batch does to the tables.
type writes struct {
	rows           map[crop.Kind][]any     // that come, or take the place of those that are there
	gone           map[crop.Kind][]crop.ID // rows that go first
	edited         map[crop.Kind][]crop.ID // rows whose place others take; only for what is kept aside
	unmoved        []crop.ID               // plants whose moves are written anew
	moves, history []any
}

func (b *batch) carryOut(w *writes) error {
	if err := b.deleteRows("plant_moves", "plant_id", w.unmoved); err != nil {
		return err
	}
	for _, kind := range crop.Kinds() {
		if err := b.deleteRows(tables[kind].name, "id", w.gone[kind]); err != nil {
			return err
		}
	}
	holders := "(site_id, id)"
	if b.fresh {
		holders = ""
	}
	for _, kind := range crop.Kinds() {
		t := tables[kind]
		if err := insertRows(b.ctx, b.q, t.name, t.written, w.rows[kind], holders); err != nil {
			return err
		}
	}
	if err := insertRows(b.ctx, b.q, "plant_moves", moveLayout, w.moves, ""); err != nil {
		return err
	}
	return insertRows(b.ctx, b.q, "history", historyLayout, w.history, "")
}

// historyOf makes the rows that the history gets, after a version with the digest previous, and returns the last digest.
func (b *batch) historyOf(e *entry, previous int64) (rows []any, last int64, err error) {
	for _, v := range e.kept {
		body, err := v.body()
		if err != nil {
			return nil, 0, err
		}
		h := &historyRow{
			SiteID: b.site, Kind: string(e.kind), RecordID: key(e.id), Version: v.number, RecordedAt: millisOf(v.at),
			Actor: v.actor, Deleted: v.deleted, Body: string(body),
		}
		h.Digest = b.digests.history(h, previous)
		previous = h.Digest
		rows = append(rows, h)
	}
	return rows, previous, nil
}

// lastDigests returns the digests of the last versions in the history, of the changed records that have any there.
func (b *batch) lastDigests() (map[link]int64, error) {
	ids := map[crop.Kind][]crop.ID{}
	for _, e := range b.order {
		if e.wrote && (e.stored != nil && e.stored.number > 1 || e.stored == nil && len(e.past) > 0) {
			ids[e.kind] = append(ids[e.kind], e.id)
		}
	}
	last := map[link]int64{}
	for kind, ids := range ids {
		if err := lastDigests(b.ctx, b.q, b.site, kind, ids, last); err != nil {
			return nil, err
		}
	}
	return last, nil
}

func (b *batch) deleteRows(table, column string, ids []crop.ID) error {
	for part := range slices.Chunk(ids, chunk) {
		_, err := b.q.ExecContext(b.ctx, "DELETE FROM "+table+" WHERE site_id = ? AND "+column+" IN ("+marks(len(part))+")",
			siteAndIDs(b.site, part)...)
		if err != nil {
			return err
		}
	}
	return nil
}

// insertRows writes rows (pointers to row structs), hundreds at a time. Where a row with the same key columns is there
// already it gets the new contents; no key columns mean that none can be.
func insertRows(ctx context.Context, q gorm.ConnPool, table string, l layout, rows []any, key string) error {
	if len(rows) == 0 {
		return nil
	}
	size := min(chunk, maxValues/len(l.columns))
	var whole *sql.Stmt
	args := make([]any, 0, min(size, len(rows))*len(l.columns))
	for part := range slices.Chunk(rows, size) {
		args = args[:0]
		for _, r := range part {
			if row, ok := r.(inserted); ok {
				args = row.values(args)
			} else {
				args = l.appendValues(args, r)
			}
		}
		if len(part) < size {
			_, err := q.ExecContext(ctx, insertSQL(table, l, len(part), key), args...)
			return err // the last part
		}
		if whole == nil {
			var err error
			if whole, err = q.PrepareContext(ctx, insertSQL(table, l, size, key)); err != nil {
				return err
			}
			defer whole.Close()
		}
		if _, err := whole.ExecContext(ctx, args...); err != nil {
			return err
		}
	}
	return nil
}

// singles are the statements that insert one row, as most writes do.
var singles sync.Map // of a single to its text

type single struct{ table, key string }

func insertSQL(table string, l layout, rows int, key string) string {
	if rows != 1 {
		return writeInsertSQL(table, l, rows, key)
	}
	text, ok := singles.Load(single{table, key})
	if !ok {
		text, _ = singles.LoadOrStore(single{table, key}, writeInsertSQL(table, l, rows, key))
	}
	return text.(string)
}

func writeInsertSQL(table string, l layout, rows int, key string) string {
	var q strings.Builder
	q.WriteString("INSERT INTO " + table + " (" + strings.Join(l.columns, ", ") + ") VALUES ")
	one := "(" + marks(len(l.columns)) + ")"
	for i := range rows {
		if i > 0 {
			q.WriteByte(',')
		}
		q.WriteString(one)
	}
	if key != "" {
		q.WriteString(upsert(l, key))
	}
	return q.String()
}

// upsert ends an INSERT so that where a row with the same key columns is there already it gets the new contents.
func upsert(l layout, key string) string {
	var set []string
	for _, c := range l.columns {
		if c != "site_id" && c != "id" { // setting a key makes the database look for who refers to it
			set = append(set, c+" = excluded."+c)
		}
	}
	return " ON CONFLICT " + key + " DO UPDATE SET " + strings.Join(set, ", ")
}
