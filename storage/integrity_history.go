package storage

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// lastVersion is the end of what the history has of a record.
type lastVersion struct {
	number, digest int64
	deleted        bool
}

// lastVersions fills in the ends of what the history has of the records with the given ids.
func lastVersions(ctx context.Context, q gorm.ConnPool, site int64, kind crop.Kind, ids []crop.ID, last map[link]lastVersion) error {
	for part := range slices.Chunk(ids, chunk) {
		rows, err := q.QueryContext(ctx, "SELECT record_id, max(version), digest, deleted FROM history WHERE site_id = ? AND kind = ?"+
			" AND record_id IN ("+marks(len(part))+") GROUP BY record_id", slices.Insert(siteAndIDs(site, part), 1, any(string(kind)))...)
		if err != nil {
			return err
		}
		for rows.Next() {
			var id key
			var v lastVersion
			if err := rows.Scan(&id, &v.number, &v.digest, &v.deleted); err != nil {
				return errors.Join(err, rows.Close())
			}
			last[link{kind, crop.ID(id)}] = v
		}
		if err := errors.Join(rows.Err(), rows.Close()); err != nil {
			return err
		}
	}
	return nil
}

// history checks every earlier version: its digest, its number, that it can be read, and that a record follows its last
// version unless that is a deletion.
func (c *checker) history(site int64) error {
	h := &historyChecker{checker: c, site: site}
	err := eachVersion(c.ctx, c.q, site, func(v *historyRow, previous int64) (int64, error) {
		c.checked.Earlier++
		return v.Digest, h.version(v, previous)
	})
	return errors.Join(err, h.end(), h.follow())
}

type historyChecker struct {
	*checker
	site int64
	last *historyRow           // the version before
	open map[crop.Kind][]ended // records that must be there, not looked up yet
	n    int
}

// ended is a record whose last version in the history is no deletion.
type ended struct {
	id      crop.ID
	version int64
}

func (h *historyChecker) version(v *historyRow, previous int64) error {
	first := h.last == nil || h.last.Kind != v.Kind || h.last.RecordID != v.RecordID
	if first {
		if err := h.end(); err != nil {
			return err
		}
	}
	var wrong []string
	if v.Digest != h.digests.history(v, previous) {
		wrong = append(wrong, "it isn't what was stored, or the version before isn't: its digest doesn't fit")
	}
	switch {
	case first && v.Version != 1:
		wrong = append(wrong, fmt.Sprintf("it is the oldest in the history, but %d came before it", v.Version-1))
	case !first && v.Version != h.last.Version+1:
		wrong = append(wrong, fmt.Sprintf("the version before it in the history is %d", h.last.Version))
	case !first && v.Deleted && h.last.Deleted:
		wrong = append(wrong, "it is a deletion after a deletion")
	}
	rec := crop.Record(nil)
	stored, err := v.stored()
	switch {
	case err != nil:
		wrong = append(wrong, fmt.Sprintf("it can't be read: %v", err))
	case stored.Record.Identity() != crop.ID(v.RecordID):
		wrong = append(wrong, "it is of another record")
	default:
		rec = stored.Record
	}
	for _, what := range wrong {
		h.add(Damage{Kind: crop.Kind(v.Kind), ID: crop.ID(v.RecordID), Record: fmt.Sprintf("version %d of %s", v.Version, h.words(v, rec)),
			What: what, Mend: mendHistory})
	}
	kept := *v
	h.last = &kept
	return nil
}

// words say which record a version is of.
func (h *historyChecker) words(v *historyRow, rec crop.Record) string {
	t, ok := tables[crop.Kind(v.Kind)]
	if !ok || rec == nil {
		return "a record"
	}
	r := newRefs(h.site)
	if err := r.load(h.ctx, h.q, []crop.Record{rec}, crop.Kinds()...); err != nil {
		return "a " + t.one
	}
	return describe(t, rec, r)
}

// end notes that a record has no more versions in the history.
func (h *historyChecker) end() error {
	if h.last == nil || h.last.Deleted || tables[crop.Kind(h.last.Kind)] == nil {
		return nil
	}
	if h.open == nil {
		h.open = map[crop.Kind][]ended{}
	}
	kind := crop.Kind(h.last.Kind)
	h.open[kind] = append(h.open[kind], ended{crop.ID(h.last.RecordID), h.last.Version})
	h.n++
	if h.n < chunk {
		return nil
	}
	return h.follow()
}

// follow looks up the records that must follow their last version in the history.
func (h *historyChecker) follow() error {
	for _, kind := range crop.Kinds() {
		t := tables[kind]
		for part := range slices.Chunk(h.open[kind], chunk) {
			ids := make([]crop.ID, len(part))
			for i := range part {
				ids[i] = part[i].id
			}
			there, err := existing(h.ctx, h.q, h.site, t, ids)
			if err != nil {
				return err
			}
			for _, e := range part {
				if !there[e.id] {
					h.add(Damage{Kind: kind, ID: e.id, Record: "a " + t.one, Mend: mendFile,
						What: fmt.Sprintf("the history ends with version %d, which is no deletion, but the record isn't there", e.version)})
				}
			}
		}
	}
	h.open, h.n = nil, 0
	return nil
}

// existing tells which records are there.
func existing(ctx context.Context, q gorm.ConnPool, site int64, t *table, ids []crop.ID) (map[crop.ID]bool, error) {
	rows, err := q.QueryContext(ctx, "SELECT id FROM "+t.name+" WHERE site_id = ? AND id IN ("+marks(len(ids))+")", siteAndIDs(site, ids)...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	there := map[crop.ID]bool{}
	for rows.Next() {
		var k key
		if err := rows.Scan(&k); err != nil {
			return nil, err
		}
		there[crop.ID(k)] = true
	}
	return there, rows.Err()
}

// plants hands every plant's records to the caller.
func (c *checker) plants(site int64) error {
	if c.o.Plant == nil {
		return nil
	}
	t := tables[crop.Plants]
	var last key
	for {
		ids, err := c.idsAfter(site, t, last)
		if err != nil || len(ids) == 0 {
			return err
		}
		for _, id := range ids {
			trial, err := loadEvidence(c.ctx, c.q, site, id)
			if c.ctx.Err() != nil {
				return c.ctx.Err()
			}
			if err != nil {
				c.add(Damage{Kind: crop.Plants, ID: id, Record: "a plant", What: fmt.Sprintf("its records can't be read: %v", err), Mend: mendFile})
				continue
			}
			c.checked.Plants++
			for _, what := range c.o.Plant(trial, id) {
				r := newRefs(site)
				p := &trial.Plants[0]
				if err := r.load(c.ctx, c.q, []crop.Record{p}, crop.Seasons); err != nil {
					return err
				}
				c.add(Damage{Kind: crop.Plants, ID: id, Record: describe(t, p, r), What: what, Mend: mendRule})
			}
		}
		end := key(ids[len(ids)-1])
		if end == last {
			return fmt.Errorf("%w: the ids of plants are out of order", ErrCorrupt)
		}
		last = end
	}
}
