package storage

import (
	"context"
	"fmt"
	"slices"

	"vinetally/analytics/crop"
)

// Add stores records of one kind that are new and have ids that no record ever had, many to a statement. It completes them
// as crop.Check does and doesn't keep them. Faults come back as a *crop.Error, with the positions of the records; then
// none of them is stored. Kinds that others refer to go through Apply.
func (s *Session) Add(ctx context.Context, kind crop.Kind, records []crop.Record) error {
	t := tables[kind]
	if len(records) == 0 {
		return nil
	}
	if err := s.refs.load(ctx, s.st.q, records, crop.Kinds()...); err != nil {
		return fmt.Errorf("add %s: %w", t.many, translate(ctx, err))
	}
	var broken faults
	for i, r := range records {
		for _, f := range crop.Check(r, s.refs, s.now) {
			broken.add(crop.Invalid, i, f.Pointer, "%s", f.Detail)
		}
	}
	if err := broken.error(len(records)); err != nil {
		return err
	}
	if err := s.insert(ctx, t, records); err != nil {
		return fmt.Errorf("add %s: %w", t.many, translate(ctx, err))
	}
	s.written += len(records)
	s.grown += len(records)
	s.st.kept[kind] += len(records)
	return nil
}

// insert keeps the rows of new records.
func (s *Session) insert(ctx context.Context, t *table, records []crop.Record) error {
	size := min(chunk, maxValues/len(t.written.columns))
	values := make([]any, 0, min(size, len(records))*len(t.written.columns))
	for part := range slices.Chunk(records, size) {
		values = values[:0]
		for _, r := range part {
			made, err := t.toRow(normal(r))
			if err != nil {
				return err
			}
			row, ok := made.(inserted)
			if !ok {
				return fmt.Errorf("%s are not written this way", t.many)
			}
			*row.base() = rowBase{SiteID: s.site.id, ID: key(r.Identity()), Version: 1, RecordedAt: millisOf(s.now), Actor: s.o.Actor}
			row.base().Digest = s.digests.row(s.site.id, t.kind, row, 0)
			values = row.values(values)
		}
		if len(part) < size {
			if _, err := s.st.q.ExecContext(ctx, insertSQL("aside."+t.name, t.written, len(part), ""), values...); err != nil {
				return err
			}
			continue
		}
		if s.inserts[t.kind] == nil {
			whole, err := s.st.q.PrepareContext(ctx, insertSQL("aside."+t.name, t.written, size, ""))
			if err != nil {
				return err
			}
			s.inserts[t.kind] = whole
		}
		if _, err := s.inserts[t.kind].ExecContext(ctx, values...); err != nil {
			return err
		}
	}
	return nil
}
