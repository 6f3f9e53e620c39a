package storage

import (
	"bytes"
	"time"

	"vinetally/analytics/crop"
)

// version is one version of a record.
type version struct {
	record    crop.Record // what was deleted, if deleted
	number    int64
	at        time.Time
	actor     string
	deleted   bool
	canonical []byte // filled when first asked for
}

func versionOf(s crop.Stored) *version {
	return &version{record: s.Record, number: s.Version, at: s.RecordedAt, actor: s.Actor, deleted: s.Deleted}
}

func (v *version) stored() crop.Stored {
	return crop.Stored{Record: clone(v.record), Version: v.number, RecordedAt: v.at, Actor: v.actor, Deleted: v.deleted}
}

func (v *version) body() ([]byte, error) {
	if v.canonical != nil {
		return v.canonical, nil
	}
	body, err := canonical(v.record)
	v.canonical = body
	return body, err
}

func (v *version) holds(body []byte) bool {
	own, err := v.body()
	return err == nil && bytes.Equal(own, body)
}

// entry is one record that a batch names, as the batch goes on.
type entry struct {
	link
	stored *version   // what the database has, nil if there is none or it was deleted
	past   []*version // the versions before it, only where they may matter
	top    *version   // the latest version, which may be a deletion; nil if there never was one
	kept   []*version // what this batch adds to the history
	wrote  bool       // the batch changed it
	item   int        // the last change that did
	first  bool       // its row must go before others can come, since one takes its name
}

func (e *entry) exists() bool { return e.top != nil && !e.top.deleted }

// repeatable tells whether the record has had other contents than now, so that an old body may be sent again.
func (e *entry) repeatable() bool { return e.number() > 1 }

// number is the latest version's number, 0 if there never was one.
func (e *entry) number() int64 {
	if e.top == nil {
		return 0
	}
	return e.top.number
}

// had tells whether any version of the record, deletions aside, has these contents.
func (e *entry) had(body []byte) bool {
	for _, v := range e.past {
		if !v.deleted && v.holds(body) {
			return true
		}
	}
	for _, v := range e.kept {
		if !v.deleted && v.holds(body) {
			return true
		}
	}
	return e.exists() && e.top.holds(body)
}

// deletedFrom tells whether the version made from base was a deletion.
func (e *entry) deletedFrom(base int64) bool {
	for _, v := range e.past {
		if v.deleted && v.number == base+1 {
			return true
		}
	}
	for _, v := range e.kept {
		if v.deleted && v.number == base+1 {
			return true
		}
	}
	return false
}

// put makes rec the current version.
func (e *entry) put(rec crop.Record, item int, now time.Time, actor string) crop.Effect {
	effect := crop.Created
	if e.exists() {
		effect = crop.Replaced
		e.kept = append(e.kept, e.top)
	}
	e.top = &version{record: rec, number: e.number() + 1, at: now, actor: actor}
	e.wrote, e.item = true, item
	return effect
}

// remove deletes the current version.
func (e *entry) remove(item int, now time.Time, actor string) crop.Effect {
	e.kept = append(e.kept, e.top)
	e.top = &version{record: e.top.record, number: e.top.number + 1, at: now, actor: actor, deleted: true}
	e.kept = append(e.kept, e.top)
	e.wrote, e.item = true, item
	return crop.Removed
}

// edited tells whether a record that was there is there with other contents.
func (e *entry) edited() bool { return e.wrote && e.stored != nil && e.exists() }
