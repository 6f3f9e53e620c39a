package storage

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// While there is an import, every change notes in its transaction which records it touched, in the table noted under the change number
// that it came to. So the import can tell in the end what was written since the state that it read, and whether it must read again.
// It doesn't take the notes on trust: each change number since must have one, else something was written that wasn't noted.

const (
	// importLease is how long an import may take before others stop noting for it. One that takes longer must read again.
	importLease = 6 * time.Hour
	// mostNoted is how many records of a kind a change notes one by one.
	mostNoted = 1000
)

// manyRecords stands in the notes for more records of a kind than are noted.
var manyRecords crop.ID

// note notes what the batch changed. It also forgets imports that were killed, once their time is over.
func (b *batch) note() error {
	ids := map[crop.Kind][]crop.ID{}
	for _, e := range b.order {
		if e.wrote {
			ids[e.kind] = append(ids[e.kind], e.id)
		}
	}
	for _, kind := range crop.Kinds() {
		if len(ids[kind]) > mostNoted {
			ids[kind] = []crop.ID{manyRecords}
		}
		if err := noteKind(b.ctx, b.q, b.site, b.before+1, kind, ids[kind]); err != nil {
			return err
		}
	}
	return forget(b.ctx, b.q, b.site, manyRecords, b.now)
}

func noteKind(ctx context.Context, q gorm.ConnPool, site, change int64, kind crop.Kind, ids []crop.ID) error {
	for part := range slices.Chunk(ids, chunk) {
		row := fmt.Sprintf("(%d, %d, '%s', ?),", site, change, kind)
		args := make([]any, len(part))
		for i, id := range part {
			args[i] = key(id)
		}
		_, err := q.ExecContext(ctx, "INSERT INTO noted (site_id, change, kind, record_id) VALUES "+strings.TrimSuffix(strings.Repeat(row, len(part)), ","), args...)
		if err != nil {
			return err
		}
	}
	return nil
}

// register makes others note for an import from now on.
func (s *Site) register(ctx context.Context) (id crop.ID, err error) {
	id = s.NewID()
	return id, s.write(ctx, func(tx *gorm.DB) error {
		q := tx.Statement.ConnPool
		if err := forget(ctx, q, s.id, manyRecords, s.now()); err != nil { // those that were killed
			return err
		}
		_, err := q.ExecContext(ctx, "INSERT INTO imports (site_id, id, until) VALUES (?, ?, ?)", s.id, key(id), int64(millisOf(s.now().Add(importLease))))
		return err
	})
}

// forget ends the notes for an import, and for those whose time is over.
func forget(ctx context.Context, q gorm.ConnPool, site int64, id crop.ID, now time.Time) error {
	if _, err := q.ExecContext(ctx, "DELETE FROM imports WHERE site_id = ? AND (id = ? OR until <= ?)", site, key(id), int64(millisOf(now))); err != nil {
		return err
	}
	_, err := q.ExecContext(ctx, "DELETE FROM noted WHERE site_id = ?1 AND NOT EXISTS (SELECT 1 FROM imports WHERE site_id = ?1)", site)
	return err
}

// abandon ends the notes for an import that comes to nothing. If it can't, they end with the import's time.
func (s *Site) abandon(ctx context.Context, id crop.ID) {
	ctx = context.WithoutCancel(ctx)
	_ = s.write(ctx, func(tx *gorm.DB) error { return forget(ctx, tx.Statement.ConnPool, s.id, id, s.now()) })
}

// noteAll notes for other imports that this one added and changed many records.
func (st *staging) noteAll(ctx context.Context, change int64) error {
	for _, t := range st.tables {
		wrote, err := st.any(ctx, fmt.Sprintf("EXISTS (SELECT 1 FROM aside.%s) OR EXISTS (SELECT 1 FROM aside.%[1]s_gone)", t.name))
		if err != nil {
			return err
		}
		if wrote {
			if err := noteKind(ctx, st.q, st.site, change, t.kind, []crop.ID{manyRecords}); err != nil {
				return err
			}
		}
	}
	return nil
}

// overtaken tells whether what was written after the change number since may make the import come to something else than it
// would now. It reads what is stored now, in a transaction of its own, and is cautious. Of what others refer to, every change
// counts but a new record under a name or label that the import doesn't give. Of the rest, records count that the import looked at or
// wrote, and those of the same plant (place, season, unit) and time as one of these.
func (st *staging) overtaken(ctx context.Context, since, now int64) (bool, error) {
	if since == now {
		return false, nil
	}
	// Whether stored records go with what the import changes of that rests on all of them.
	for _, t := range st.tables {
		if len(referrers[t.kind]) == 0 {
			continue
		}
		if edited, err := st.any(ctx, "EXISTS (SELECT 1 FROM aside."+t.name+"_gone)"); err != nil || edited {
			return true, err
		}
	}
	touched, complete, err := st.notes(ctx, since, now)
	if err != nil || !complete {
		return true, err
	}
	for _, t := range st.tables {
		ids := touched[t.kind]
		if slices.Contains(ids, manyRecords) {
			return true, nil
		}
		if t.kind == crop.Plants && len(ids) > 0 { // the clock of a diary entry of no plant is that of all plants of the season
			noted, err := st.any(ctx, "EXISTS (SELECT 1 FROM aside.diary WHERE plant_id IS NULL) OR EXISTS (SELECT 1 FROM aside.looked WHERE kind = ?)", string(crop.Diary))
			if err != nil || noted {
				return true, err
			}
		}
		for part := range slices.Chunk(ids, chunk) {
			if met, err := st.meets(ctx, t, part); err != nil || met {
				return true, err
			}
		}
	}
	return false, nil
}

// notes returns what was noted between two change numbers, and tells whether it is all that was written.
func (st *staging) notes(ctx context.Context, since, now int64) (touched map[crop.Kind][]crop.ID, complete bool, err error) {
	rows, err := st.q.QueryContext(ctx, "SELECT change, kind, record_id FROM noted WHERE site_id = ? AND change > ? AND change <= ? ORDER BY change", st.site, since, now)
	if err != nil {
		return nil, false, err
	}
	defer rows.Close()
	touched = map[crop.Kind][]crop.ID{}
	last, missing := since, now-since
	for rows.Next() {
		var change int64
		var kind string
		var id key
		if err := rows.Scan(&change, &kind, &id); err != nil {
			return nil, false, err
		}
		if change != last {
			missing--
		}
		last = change
		touched[crop.Kind(kind)] = append(touched[crop.Kind(kind)], crop.ID(id))
	}
	return touched, missing == 0, rows.Err()
}

// meets tells whether records touch what the import looked at or wrote.
func (st *staging) meets(ctx context.Context, t *table, ids []crop.ID) (bool, error) {
	in := "IN (" + marks(len(ids)) + ")"
	args := siteAndIDs(st.site, ids)
	for _, where := range []string{"aside." + t.name, "aside." + t.name + "_gone"} {
		if met, err := st.any(ctx, "EXISTS (SELECT 1 FROM "+where+" WHERE id "+in+")", args[1:]...); err != nil || met {
			return true, err
		}
	}
	if met, err := st.any(ctx, "EXISTS (SELECT 1 FROM aside.looked WHERE kind = ? AND id "+in+")", slices.Insert(slices.Clone(args[1:]), 0, any(string(t.kind)))...); err != nil || met {
		return true, err
	}
	rows, err := t.scan(ctx, st.q, "SELECT "+t.selected("")+" FROM main."+t.name+" WHERE site_id = ? AND id "+in, args...)
	if err != nil {
		return true, err
	}
	records, err := recordsOf(rows)
	if err != nil {
		return true, err
	}
	shared := likenesses(records)
	if len(referrers[t.kind]) > 0 {
		edited := func(r row) bool { return r.base().Version > 1 }
		if len(rows) < len(ids) || slices.ContainsFunc(rows, edited) {
			return true, nil
		}
		shared = uniqueKeys(t, records)
	}
	for columns, values := range shared {
		// What is kept aside has no index for this as a rule, and is gone through once.
		n := strings.Count(columns, " ") + 1
		list := strings.TrimSuffix(strings.Repeat("("+marks(n)+"),", len(values)/n), ",")
		met, err := st.any(ctx, "EXISTS (SELECT 1 FROM aside."+t.name+" WHERE ("+strings.ReplaceAll(columns, " ", ", ")+") IN (VALUES "+list+"))", values...)
		if err != nil || met {
			return true, err
		}
		met, err = st.any(ctx, "EXISTS (SELECT 1 FROM "+alikeIn("main."+t.name, columns, values)+" AND t.id IN (SELECT id FROM aside.looked WHERE kind = ?))",
			append(slices.Clone(values), st.site, string(t.kind))...)
		if err != nil || met {
			return true, err
		}
	}
	return false, nil
}

// uniqueKeys gathers what no other record may share with records: the values, by the columns that they are of.
func uniqueKeys(t *table, records []crop.Record) map[string][]any {
	columns := strings.Join(t.unique, " ")
	all := map[string][]any{}
	for _, r := range records {
		k := uniqueKey(r)
		all[columns] = append(all[columns], k[:len(t.unique)]...)
	}
	return all
}
