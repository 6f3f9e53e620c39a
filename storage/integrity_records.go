package storage

import (
	"bytes"
	"fmt"
	"strings"

	"vinetally/analytics/crop"
)

// records checks every current version of a kind.
func (c *checker) records(site int64, t *table) error {
	n := 0
	defer func() {
		c.checked.Kinds = append(c.checked.Kinds, KindChecked{t.kind, n, t.words(n)})
	}()
	var last key
	for {
		ids, err := c.idsAfter(site, t, last)
		if err != nil || len(ids) == 0 {
			return err
		}
		rows, err := c.rows(site, t, ids)
		if err != nil { // one of them can't be read; find out which
			rows = rows[:0]
			for _, id := range ids {
				one, err := c.rows(site, t, []crop.ID{id})
				if c.ctx.Err() != nil {
					return c.ctx.Err()
				}
				if err != nil {
					c.add(Damage{Kind: t.kind, ID: id, Record: "a " + t.one, What: fmt.Sprintf("can't be read: %v", err), Mend: mendRecord})
				}
				rows = append(rows, one...)
			}
		}
		n += len(ids)
		if err := c.versions(site, t, rows); err != nil {
			return err
		}
		end := key(ids[len(ids)-1])
		if bytes.Compare(end[:], last[:]) <= 0 {
			return fmt.Errorf("%w: the ids of %s are out of order", ErrCorrupt, t.many)
		}
		last = end
	}
}

func (c *checker) idsAfter(site int64, t *table, last key) ([]crop.ID, error) {
	rows, err := c.q.QueryContext(c.ctx, "SELECT id FROM "+t.name+" WHERE site_id = ? AND id > ? ORDER BY id LIMIT ?", site, last, chunk)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var ids []crop.ID
	for rows.Next() {
		var k key
		if err := rows.Scan(&k); err != nil {
			return nil, err
		}
		ids = append(ids, crop.ID(k))
	}
	return ids, rows.Err()
}

// rows reads rows with all that their digests are over, and makes sure that they can be made into records.
func (c *checker) rows(site int64, t *table, ids []crop.ID) ([]row, error) {
	rows, err := t.scanWritten(c.ctx, c.q, "SELECT "+t.written.selected("")+" FROM "+t.name+" WHERE site_id = ? AND id IN ("+
		marks(len(ids))+")", siteAndIDs(site, ids)...)
	if err != nil {
		return nil, err
	}
	if t.kind == crop.Plants {
		if err := fillMoves(c.ctx, c.q, site, rows); err != nil {
			return nil, err
		}
	}
	_, err = recordsOf(rows)
	return rows, err
}

// versions checks rows: the digest, the place in the chain of versions, the rules.
func (c *checker) versions(site int64, t *table, rows []row) error {
	records, err := recordsOf(rows)
	if err != nil {
		return err
	}
	ids := make([]crop.ID, len(rows))
	for i, r := range rows {
		ids[i] = r.base().id()
		if p, ok := records[i].(*crop.Plant); ok {
			p.Moves = append(p.Moves, r.(*plantRow).moves...)
		}
	}
	previous := map[link]lastVersion{}
	if err := lastVersions(c.ctx, c.q, site, t.kind, ids, previous); err != nil {
		return err
	}
	refs := newRefs(site)
	// What can't be read is told where it is.
	known := refs.load(c.ctx, c.q, records, crop.Kinds()...) == nil
	for i, r := range rows {
		before, base := previous[link{t.kind, ids[i]}], r.base()
		var wrong []string
		if base.Digest != c.digests.row(site, t.kind, r, before.digest) {
			wrong = append(wrong, "it isn't what was stored: its digest doesn't fit")
		}
		if base.Version != before.number+1 {
			wrong = append(wrong, fmt.Sprintf("it is version %d, but the history ends with %d", base.Version, before.number))
		}
		mend := mendRecord
		if known {
			if len(wrong) == 0 {
				mend = mendRule
			}
			for _, f := range crop.Check(records[i], refs, someday) {
				wrong = append(wrong, strings.TrimSpace(f.Pointer+" "+f.Detail))
			}
		}
		if len(wrong) > 0 {
			c.add(Damage{Kind: t.kind, ID: ids[i], Record: describe(t, records[i], refs), What: strings.Join(wrong, "; "), Mend: mend})
		}
	}
	return nil
}

// describe says which record it is, as a person can find it.
func describe(t *table, rec crop.Record, r crop.Refs) string {
	placeIn(rec, r)
	label := t.label(rec)
	var of []string
	for _, l := range links(rec) {
		switch l.kind {
		case crop.Plants:
			if p, ok := r.Plant(l.id); ok && l.id != rec.Identity() && rec.RecordKind() != crop.Plants {
				of = append(of, "plant "+p.Label)
				if s, ok := r.Season(p.SeasonID); ok {
					of = append(of, "season "+s.Name)
				}
			}
		case crop.Seasons:
			if s, ok := r.Season(l.id); ok {
				of = append(of, "season "+s.Name)
			}
		case crop.Places:
			if p, ok := r.Place(l.id); ok && rec.RecordKind() == crop.Temperatures {
				of = append(of, "place "+p.Name)
			}
		}
	}
	words := t.one + " " + label
	if len(of) > 0 {
		words += " of " + strings.Join(of, ", ")
	}
	return words
}
