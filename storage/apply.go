package storage

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// Apply makes changes in one transaction, all or none, and answers each in the caller's order.
//
// Records may come in any order: each is checked against what it refers to as that is after the whole batch, and several
// changes of one record follow each other. A record that is the same already is left alone. Where the base isn't the current
// version, or isn't stated, a record equal to any earlier version is left alone too, also after a deletion, and the answer
// is what is current: what was sent long ago and comes again reverts nothing. Anything else from an old base is crop.Stale.
// Base 0 must be new, else crop.Conflict. Changes without a base in a batch with IfChange are made from what is current.
//
// A refusal is a *crop.Error with the faults of all changes (up to 1,000, Fault.Item is the position); its code is
// crop.Invalid if any change breaks a rule, else crop.NotFound, crop.Conflict or crop.Stale. Refused as crop.Conflict are
// names, labels and reading times that are taken, deletions of what others refer to, and edits that would make stored
// records wrong. Faults that only the written state can show (the last two) are told when there are no others. crop.Busy
// means that another change took too long.
func (s *Site) Apply(ctx context.Context, changes []crop.Change, o crop.ApplyOptions) ([]crop.Outcome, error) {
	w := watching{by: o.Witness}
	var outcomes []crop.Outcome
	err := s.writeGrouped(ctx, len(changes) > groupable, func(ctx context.Context, q gorm.ConnPool) error {
		b := &batch{
			ctx: ctx, site: s.id, q: q, changes: changes, now: s.now(), o: o,
			entries: map[link]*entry{}, refs: newRefs(s.id), answers: make([]answer, len(changes)),
		}
		change, err := b.open(&s.db.standing)
		if err != nil {
			return err
		}
		if o.IfChange != nil && *o.IfChange != change {
			return changedSince(change, *o.IfChange)
		}
		if err := b.run(); err != nil {
			return err
		}
		outcomes = b.outcomes()
		if o.DryRun {
			return errDryRun
		}
		if err := b.count(&s.db.standing); err != nil {
			return err
		}
		w.see(b, outcomes)
		return nil
	})
	w.wait()
	if err != nil && !errors.Is(err, errDryRun) {
		return nil, fmt.Errorf("apply changes: %w", err)
	}
	return outcomes, nil
}

// errDryRun undoes a transaction that was only tried.
var errDryRun = errors.New("dry run")

// changedSince refuses what was made for another state of the site.
func changedSince(change, want int64) error {
	return crop.Errorf(crop.Stale, "the records have changed since (change %d, not %d); read them again", change, want)
}

// batch is one Apply under way.
type batch struct {
	ctx     context.Context
	site    int64
	q       gorm.ConnPool
	changes []crop.Change
	now     time.Time
	o       crop.ApplyOptions

	fresh   bool     // the one record that it names never was
	counted bool     // the site's change number has been moved on for it
	noting  bool     // there is an import, for which what is changed is noted
	before  int64    // the site's change number
	aside   *staging // where to write instead of the tables; nil for these
	entries map[link]*entry
	order   []*entry // as first named
	records []crop.Record
	refs    *refs // as after the batch
	past    *refs // those, and what was deleted; only if a change is stale
	faults  faults
	answers []answer
	digests digester
}

type answer struct {
	version    *version
	effect     crop.Effect
	superseded bool
}

func (b *batch) run() error {
	if err := b.load(); err != nil {
		return err
	}
	for _, kind := range crop.Kinds() {
		for i := range b.changes {
			if b.records[i] != nil && b.records[i].RecordKind() == kind {
				if err := b.change(i); err != nil {
					return err
				}
			}
		}
	}
	for _, step := range []func() error{b.checkUnique, b.checkInUse, b.told, b.write, b.checkReferrers, b.checkOrigins, b.recheck, b.told} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// told ends the batch if there are faults.
func (b *batch) told() error { return b.faults.error(len(b.changes)) }

// load reads the named records, their history where it may matter, and what they refer to.
func (b *batch) load() error {
	b.records = make([]crop.Record, len(b.changes))
	ids := map[crop.Kind][]crop.ID{}
	for i, c := range b.changes {
		if c.Record == nil {
			b.faults.add(crop.Invalid, i, "", "there is no record in this change")
			continue
		}
		rec := normal(clone(c.Record))
		b.records[i] = rec
		l := link{rec.RecordKind(), rec.Identity()}
		if b.entries[l] == nil {
			e := &entry{link: l}
			b.entries[l] = e
			b.order = append(b.order, e)
			ids[l.kind] = append(ids[l.kind], l.id)
		}
	}
	for kind, ids := range ids {
		if b.fresh {
			break
		}
		if err := b.loadEntries(tables[kind], ids); err != nil {
			return err
		}
	}
	stale, err := b.loadHistory()
	if err != nil {
		return err
	}
	return b.loadRefs(stale)
}

func (b *batch) loadEntries(t *table, ids []crop.ID) error {
	rows, err := fetchRows(b.ctx, b.q, b.site, t, ids)
	if err != nil {
		return err
	}
	records, err := recordsOf(rows)
	if err != nil {
		return err
	}
	if err := addMoves(b.ctx, b.q, b.site, records); err != nil {
		return err
	}
	for i, rec := range records {
		r := rows[i].base()
		e := b.entries[link{t.kind, rec.Identity()}]
		e.stored = &version{record: rec, number: r.Version, at: r.RecordedAt.time(), actor: r.Actor}
		e.top = e.stored
	}
	return nil
}

// loadHistory reads the earlier versions of the records that aren't there, of those that a change was made from an earlier
// version of or doesn't say, and of those named twice. It tells whether there were any but those that never were.
func (b *batch) loadHistory() (stale bool, err error) {
	wanted, named := map[link]bool{}, map[link]bool{}
	for i, c := range b.changes {
		if b.records[i] == nil {
			continue
		}
		e := b.entries[link{b.records[i].RecordKind(), b.records[i].Identity()}]
		old := c.Base != nil && *c.Base != e.number() || named[e.link]
		named[e.link] = true
		if c.Base == nil && b.o.IfChange == nil && !c.Delete && e.repeatable() {
			old = true
		}
		stale = stale || old
		if old || e.stored == nil {
			wanted[e.link] = true
		}
	}
	if b.fresh {
		return stale, nil
	}
	ids := map[crop.Kind][]crop.ID{}
	for _, e := range b.order {
		if wanted[e.link] {
			ids[e.kind] = append(ids[e.kind], e.id)
		}
	}
	for kind, ids := range ids {
		versions, err := fetchHistory(b.ctx, b.q, b.site, kind, ids)
		if err != nil {
			return false, err
		}
		for _, v := range versions {
			e := b.entries[link{kind, v.Record.Identity()}]
			e.past = append(e.past, versionOf(v))
			if e.stored == nil {
				e.top = e.past[len(e.past)-1]
				stale = true
			}
		}
	}
	return stale, nil
}

// loadRefs reads what the records refer to, and lays what the batch wants over it.
func (b *batch) loadRefs(stale bool) error {
	var all []crop.Record
	for _, e := range b.order {
		if e.stored != nil {
			b.refs.set(e.stored.record)
			all = append(all, e.stored.record)
		}
	}
	for i, rec := range b.records {
		if rec != nil && !b.changes[i].Delete {
			b.refs.set(rec)
			all = append(all, rec)
		}
	}
	if err := b.refs.load(b.ctx, b.q, all, crop.Kinds()...); err != nil {
		return err
	}
	if !stale {
		return nil
	}
	if err := b.refs.loadPast(b.ctx, b.q); err != nil {
		return err
	}
	for _, e := range b.order {
		if e.top != nil {
			b.refs.past[e.link] = e.top.record
		}
	}
	b.past = b.refs.withPast()
	return nil
}

// count adds one to the site's change number if anything changed, and notes what, if there is an import that must know.
func (b *batch) count(st *standing) error {
	if !slices.ContainsFunc(b.order, func(e *entry) bool { return e.wrote }) {
		return nil
	}
	if !b.counted {
		if err := countChange(b.ctx, b.q, b.site, b.grown()); err != nil {
			return err
		}
	}
	if b.noting {
		if err := b.note(); err != nil {
			return err
		}
	}
	st.written(b.order)
	return nil
}

// grown is how many records more there are after the batch.
func (b *batch) grown() (n int) {
	for _, e := range b.order {
		switch {
		case !e.wrote:
		case e.stored == nil && e.exists():
			n++
		case e.stored != nil && !e.exists():
			n--
		}
	}
	return n
}

// countingChange adds one to a site's change number, with which the site's digest counts, and counts the records that it adds.
const countingChange = "UPDATE sites SET change = change + 1, digest = digest + 1, records = records + ?2 WHERE id = ?1"

func countChange(ctx context.Context, q gorm.ConnPool, site int64, added int) error {
	_, err := q.ExecContext(ctx, countingChange, site, added)
	return err
}

func (b *batch) outcomes() []crop.Outcome {
	outcomes := make([]crop.Outcome, len(b.answers))
	for i, a := range b.answers {
		outcomes[i] = crop.Outcome{Stored: a.version.stored(), Effect: a.effect, Superseded: a.superseded}
		placeIn(outcomes[i].Record, b.refs)
	}
	return outcomes
}
