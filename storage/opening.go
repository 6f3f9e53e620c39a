package storage

import (
	"fmt"

	"vinetally/analytics/crop"
)

// open reads the site's change number, by which it is known what still stands. A batch of one record, as most are, learns
// from the same query whether the record is one that never was, which has neither a row nor a history to load.
func (b *batch) open(st *standing) (change int64, err error) {
	query, args := `SELECT change, 1 FROM sites WHERE id = ?1`, []any{b.site}
	if len(b.changes) == 1 && b.changes[0].Record != nil {
		rec := b.changes[0].Record
		query, args = openings[rec.RecordKind()], append(args, key(rec.Identity()), string(rec.RecordKind()))
	}
	var been bool
	if err := b.q.QueryRowContext(b.ctx, query, args...).Scan(&change, &been); err != nil {
		return 0, err
	}
	b.fresh = !been
	st.at(change)
	b.refs.standing = st
	return change, nil
}

// openings are the queries for batches of one record, by its kind.
var openings = func() map[crop.Kind]string {
	all := map[crop.Kind]string{}
	for kind, t := range tables {
		all[kind] = fmt.Sprintf(`SELECT change, EXISTS (SELECT 1 FROM %s WHERE site_id = ?1 AND id = ?2)
			OR EXISTS (SELECT 1 FROM history WHERE site_id = ?1 AND kind = ?3 AND record_id = ?2) FROM sites WHERE id = ?1`, t.name)
	}
	return all
}()
