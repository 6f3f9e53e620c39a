package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// Session is one transaction in which records are read and written in several steps, each seeing what the ones before
// wrote. It is for imports, which are too long for one batch in memory and must be all or nothing. Others read what was
// there before until it is committed; who wants to write meanwhile waits, and is told that the database is busy if it
// takes too long. It is used by one goroutine, and not after it has ended.
type Session struct {
	site    *Site
	tx      *gorm.DB
	q       gorm.ConnPool
	o       crop.ApplyOptions
	now     time.Time
	before  int64              // the site's change number
	had     map[crop.Kind]bool // kinds with records, or deleted ones, when it began
	refs    *refs              // what was referred to so far, as it is now
	inserts map[crop.Kind]*sql.Stmt
	digests digester
	written int // records
}

// large is how many records a session must have written for the write-ahead log to be moved into the database after it.
const large = 10_000

// Session runs f in one transaction. Everything is undone if f returns an error, which comes back as it is, or if it was a
// dry run. The site's change number grows by one if anything was written.
func (s *Site) Session(ctx context.Context, o crop.ApplyOptions, f func(*Session) error) error {
	written := 0
	err := s.write(ctx, func(tx *gorm.DB) error {
		ses := &Session{site: s, tx: tx, q: tx.Statement.ConnPool, o: o, now: s.now(), refs: newRefs(s.id), inserts: map[crop.Kind]*sql.Stmt{}}
		if err := ses.begin(ctx); err != nil {
			return err
		}
		if err := f(ses); err != nil {
			return err
		}
		if o.DryRun {
			return errDryRun
		}
		written = ses.written
		if written == 0 {
			return nil
		}
		return countChange(ctx, ses.q, s.id)
	})
	switch {
	case errors.Is(err, errDryRun):
		return nil
	case err == nil && written >= large:
		s.checkpoint(ctx)
	}
	return err
}

func (s *Session) begin(ctx context.Context) (err error) {
	if err := s.site.unchangedSince(ctx, s.tx, s.o.IfChange); err != nil {
		return err
	}
	if s.before, err = s.site.change(ctx, s.tx); err != nil {
		return err
	}
	s.had = map[crop.Kind]bool{}
	for kind, t := range tables {
		var had bool
		err := s.q.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM "+t.name+" WHERE site_id = ?) OR EXISTS (SELECT 1 FROM history WHERE site_id = ? AND kind = ?)",
			s.site.id, s.site.id, string(kind)).Scan(&had)
		if err != nil {
			return err
		}
		s.had[kind] = had
	}
	return nil
}

// checkpoint moves the write-ahead log into the database and empties it, so that the log of a large import doesn't stay as
// long as it grew. It does what it can: what was committed is safe without it.
func (s *Site) checkpoint(ctx context.Context) {
	_ = s.db.writer.WithContext(ctx).Exec("PRAGMA wal_checkpoint(TRUNCATE)").Error
}

// Had tells whether there were records of a kind when the session began, or ever before.
func (s *Session) Had(kind crop.Kind) bool { return s.had[kind] }

// Catalogue returns the site's seasons, places, scales and cultivars, each by name.
func (s *Session) Catalogue(ctx context.Context) (*crop.Catalogue, error) {
	c, err := s.site.catalogue(ctx, s.tx)
	if err != nil {
		return nil, fmt.Errorf("read catalogue: %w", translate(ctx, err))
	}
	return c, nil
}

// Plants returns the plants of a season with their moves, by label.
func (s *Session) Plants(ctx context.Context, season crop.ID) ([]crop.Plant, error) {
	t := tables[crop.Plants]
	rows, err := t.scan(ctx, s.q, "SELECT "+t.selected("")+" FROM plants WHERE site_id = ? AND season_id = ? ORDER BY label", s.site.id, key(season))
	if err != nil {
		return nil, fmt.Errorf("read plants: %w", translate(ctx, err))
	}
	records, err := recordsOf(rows)
	if err != nil {
		return nil, err
	}
	if err := addMoves(ctx, s.q, s.site.id, records); err != nil {
		return nil, fmt.Errorf("read plants: %w", translate(ctx, err))
	}
	plants := make([]crop.Plant, len(records))
	for i, r := range records {
		plants[i] = *r.(*crop.Plant)
	}
	return plants, nil
}

// Apply makes changes as Site.Apply does, from what is current: a change without a base never counts as an old one that
// was sent again.
func (s *Session) Apply(ctx context.Context, changes []crop.Change) error {
	if len(changes) == 0 {
		return nil
	}
	o := s.o
	o.IfChange = &s.before
	b := &batch{
		ctx: ctx, site: s.site.id, q: s.q, changes: changes, now: s.now, o: o,
		entries: map[link]*entry{}, refs: newRefs(s.site.id), answers: make([]answer, len(changes)),
	}
	if err := b.run(); err != nil {
		return fmt.Errorf("apply changes: %w", translate(ctx, err))
	}
	for _, e := range b.order {
		if e.wrote {
			s.written++
			if len(referrers[e.kind]) > 0 {
				s.refs = newRefs(s.site.id) // they may be the old ones
			}
		}
	}
	return nil
}
