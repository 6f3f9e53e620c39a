package storage

import "vinetally/analytics/crop"

// change takes one change of the batch as far as the record itself goes.
func (b *batch) change(i int) error {
	rec, c := b.records[i], b.changes[i]
	e := b.entries[link{rec.RecordKind(), rec.Identity()}]
	old := c.Base != nil && *c.Base != e.number()
	switch {
	case c.Delete:
		b.remove(i, e, old)
	case old:
		b.stale(i, e, rec)
	case c.Base == nil && b.o.IfChange == nil && e.repeatable():
		body, had := b.hadBefore(e, rec)
		if !had {
			return b.put(i, e, rec)
		}
		b.leave(i, e, body)
	default:
		return b.put(i, e, rec)
	}
	return nil
}

// hadBefore returns the contents of rec and tells whether the record had them in any version. The rules are not checked,
// because what rec refers to may have changed or gone since; it is only completed, to be compared.
func (b *batch) hadBefore(e *entry, rec crop.Record) (body []byte, had bool) {
	if b.past == nil {
		b.past = b.refs.withPast()
	}
	rec = clone(rec)
	crop.Check(rec, b.past, b.now)
	body, err := canonical(normal(rec))
	return body, err == nil && e.had(body)
}

// leave answers a change whose contents the record had before: it stays as it is.
func (b *batch) leave(i int, e *entry, body []byte) {
	b.refs.known[e.link] = nil
	if e.exists() {
		b.refs.set(e.top.record)
	}
	b.answer(i, e, crop.Unchanged)
	b.answers[i].superseded = !e.exists() || !e.top.holds(body)
}

func (b *batch) answer(i int, e *entry, effect crop.Effect) {
	b.answers[i] = answer{version: e.top, effect: effect}
}

// put makes rec the current version unless it is the same already.
func (b *batch) put(i int, e *entry, rec crop.Record) error {
	broken := crop.Check(rec, b.refs, b.now)
	for _, f := range broken {
		b.faults.add(crop.Invalid, i, f.Pointer, "%s", f.Detail)
	}
	if len(broken) > 0 {
		return nil
	}
	effect := crop.Unchanged
	if same, err := b.same(e, rec); err != nil {
		return err
	} else if !same {
		effect = e.put(rec, i, b.now, b.o.Actor)
	}
	b.refs.set(e.top.record)
	b.answer(i, e, effect)
	return nil
}

func (b *batch) same(e *entry, rec crop.Record) (bool, error) {
	if !e.exists() {
		return false, nil
	}
	body, err := canonical(rec)
	return err == nil && e.top.holds(body), err
}

// stale takes a record that was made from another version than the current one.
func (b *batch) stale(i int, e *entry, rec crop.Record) {
	base := *b.changes[i].Base
	if body, had := b.hadBefore(e, rec); had {
		b.leave(i, e, body)
		return
	}
	one := tables[e.kind].one
	switch {
	case e.top == nil:
		b.faults.add(crop.Stale, i, "/base_version", "is %d, but there is no %s with this id; leave it out for a new one", base, one)
	case base == 0 && e.top.deleted:
		b.faults.add(crop.Conflict, i, "/id", "is that of a deleted %s with other contents; give base_version %d to bring it back with these",
			one, e.top.number)
	case base == 0:
		b.faults.add(crop.Conflict, i, "/id", "is that of a %s with other contents, version %d; read it and change that, or give this one another id",
			one, e.top.number)
	default:
		b.faults.add(crop.Stale, i, "/base_version", "is %d, but the %s is at version %d by now; read it again and repeat the change",
			base, one, e.top.number)
	}
}

// remove deletes the record; a deletion that was made already changes nothing.
func (b *batch) remove(i int, e *entry, old bool) {
	base := b.changes[i].Base
	one := tables[e.kind].one
	switch {
	case base != nil && e.top != nil && (e.deletedFrom(*base) || e.top.deleted && !old):
		b.answer(i, e, crop.Unchanged)
	case !e.exists():
		b.faults.add(crop.NotFound, i, "", "there is no %s %s to delete; it may have been deleted already", one, e.id)
	case old:
		b.faults.add(crop.Stale, i, "/base_version", "is %d, but the %s is at version %d by now; read it again before deleting it",
			*base, one, e.top.number)
	default:
		b.answer(i, e, e.remove(i, b.now, b.o.Actor))
	}
}
