package storage

import (
	"fmt"

	"vinetally/analytics/crop"
)

// open learns the site's change number, by which it is known what still stands. A batch of one record, as most are, learns
// at the same time whether the record is one that never was, which has neither a row nor a history to load. If it is one,
// and the number is what the last batch left, the one statement that asks has also counted this change. Where there is an
// import, for which changes are noted, it learns that too.
func (b *batch) open(st *standing) (change int64, err error) {
	b.refs.standing = st
	if len(b.changes) != 1 || b.changes[0].Record == nil {
		err := b.q.QueryRowContext(b.ctx, `SELECT change, `+importing+` FROM sites WHERE id = ?1`, b.site).Scan(&b.before, &b.noting)
		st.at(b.before)
		return b.before, err
	}
	c := b.changes[0]
	kind, id := c.Record.RecordKind(), c.Record.Identity()
	args := []any{b.site, 1, id[:], string(kind)}
	ask := openings[kind]
	if mayBeNew := !c.Delete && (c.Base == nil || *c.Base == 0); mayBeNew && st.stands() {
		counted, err := b.q.ExecContext(b.ctx, ask.counting, append(args, st.change)...)
		if err != nil {
			return 0, err
		}
		if n, err := counted.RowsAffected(); err != nil || n == 1 {
			b.fresh, b.counted = true, true
			return st.change, err
		}
	}
	var been bool
	if err := b.q.QueryRowContext(b.ctx, ask.looking, args...).Scan(&b.before, &b.noting, &been); err != nil {
		return 0, err
	}
	b.fresh = !been
	st.at(b.before)
	return b.before, nil
}

// importing tells whether a site, ?1, has an import.
const importing = `EXISTS (SELECT 1 FROM imports WHERE site_id = ?1)`

// opening is the statements for batches of one record.
type opening struct{ looking, counting string }

// openings are the statements by the kind of the record.
var openings = func() map[crop.Kind]opening {
	all := map[crop.Kind]opening{}
	for kind, t := range tables {
		been := fmt.Sprintf(`(EXISTS (SELECT 1 FROM %s WHERE site_id = ?1 AND id = ?3)
			OR EXISTS (SELECT 1 FROM history WHERE site_id = ?1 AND kind = ?4 AND record_id = ?3))`, t.name)
		all[kind] = opening{
			looking:  "SELECT change, " + importing + ", " + been + " FROM sites WHERE id = ?1",
			counting: countingChange + " AND change = ?5 AND NOT " + importing + " AND NOT " + been,
		}
	}
	return all
}()
