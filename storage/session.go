package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"vinetally/analytics/crop"
)

// Session is an import's view of the site: records are read and written in several steps, each seeing what the ones before
// wrote. It is for what is too long for one batch in memory and must be all or nothing. It is used by one goroutine, and
// not after it has ended.
type Session struct {
	site    *Site
	st      *staging
	o       crop.ApplyOptions
	now     time.Time
	before  int64              // the site's change number
	had     map[crop.Kind]bool // kinds with records, or deleted ones, when it began
	refs    *refs              // what was referred to so far, as it is now
	inserts map[crop.Kind]*sql.Stmt
	indexed map[string]bool // what is kept aside and can be found by
	digests digester
	written int // records
	grown   int // records more than before
	locked  bool
}

const (
	// large is how many records a session must have written for the write-ahead log to be moved into the database after it.
	large = 10_000
	// freeTries is how often a session is tried while others write. Then it has the lock from its beginning.
	freeTries = 3
	// publishPatience is how many times as long as other writes a session waits for the lock. It has more to lose.
	publishPatience = 6
)

// errOvertaken ends an attempt of a session whose outcome would be another by now.
var errOvertaken = errors.New("others changed what the import rests on")

// Session runs f, and then stores all that it wrote in one transaction, or nothing if f returns an error, which comes back
// as it is, or if it was a dry run. The site's change number grows by one if anything was written.
//
// While f runs, others write: it reads the state that the database was in when it began, and what it writes is kept aside.
// Only to publish that the session takes the lock, for as long as moving the rows takes. What comes of it is the
// same as if nobody had written meanwhile: should others have changed what the session rests on (noted.go), it begins
// again, so f may be called more than once, and the last time with the lock held from the beginning. A dry run never takes it.
func (s *Site) Session(ctx context.Context, o crop.ApplyOptions, f func(*Session) error) error {
	if s.view != nil {
		return errView
	}
	for try := 1; ; try++ {
		err := s.trySession(ctx, o, try > freeTries && !o.DryRun, f)
		if !errors.Is(err, errOvertaken) {
			return err
		}
	}
}

func (s *Site) trySession(ctx context.Context, o crop.ApplyOptions, locked bool, f func(*Session) error) (err error) {
	st, err := s.stage(ctx)
	if err != nil {
		return translate(ctx, err)
	}
	defer st.close()
	ses := &Session{site: s, st: st, o: o, now: s.now(), refs: newRefs(s.id), inserts: map[crop.Kind]*sql.Stmt{}, indexed: map[string]bool{}, locked: locked}
	defer ses.close()
	published := false
	var id crop.ID
	if locked {
		done, err := s.takeTurn(ctx)
		if err != nil {
			return err
		}
		defer done()
	} else if !o.DryRun {
		if id, err = s.register(ctx); err != nil {
			return err
		}
		defer func() {
			if !published {
				s.abandon(ctx, id)
			}
		}()
	}
	if err := st.begin(ctx, locked); err != nil {
		return translate(ctx, err)
	}
	defer st.rollback(ctx) // nothing, once all is done
	if err := ses.begin(ctx); err != nil {
		return translate(ctx, err)
	}
	if err := f(ses); err != nil {
		return asideFull(err)
	}
	if o.DryRun || ses.written == 0 {
		return nil
	}
	if err := ses.publish(ctx, id); err != nil {
		return translate(ctx, err)
	}
	published = true
	if ses.written >= large {
		s.checkpoint(ctx)
	}
	return nil
}

// close lets go of what the session holds on to; while a statement is open, so is the database.
func (s *Session) close() {
	for _, insert := range s.inserts {
		_ = insert.Close()
	}
}

// takeTurn waits until nobody else of the program writes; done ends the turn.
func (s *Site) takeTurn(ctx context.Context) (done func(), err error) {
	patience := time.NewTimer(publishPatience * s.db.wait)
	defer patience.Stop()
	select {
	case s.db.turn <- struct{}{}:
		return func() { <-s.db.turn }, nil
	case <-patience.C:
		return nil, busy()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// publish stores what the session wrote.
func (s *Session) publish(ctx context.Context, id crop.ID) error {
	if !s.locked {
		if err := s.st.commit(ctx); err != nil {
			return err
		}
		// Most of what was written meanwhile is looked at before others have to wait.
		if err := s.lookAround(ctx, false); err != nil {
			return err
		}
		if err := s.st.commit(ctx); err != nil {
			return err
		}
		done, err := s.site.takeTurn(ctx)
		if err != nil {
			return err
		}
		defer done()
		if err := s.lookAround(ctx, true); err != nil {
			return err
		}
	}
	if err := s.st.publish(ctx, s.grown); err != nil {
		return err
	}
	if err := forget(ctx, s.st.q, s.site.id, id, s.now); err != nil {
		return err
	}
	var others bool
	if err := s.st.q.QueryRowContext(ctx, "SELECT "+importing, s.site.id).Scan(&others); err != nil {
		return err
	}
	if others {
		if err := s.st.noteAll(ctx, s.before+1); err != nil {
			return err
		}
	}
	return s.st.commit(ctx)
}

// lookAround begins a transaction and looks at what was written since the session last did.
func (s *Session) lookAround(ctx context.Context, lock bool) error {
	err := s.st.begin(ctx, lock)
	for until := time.Now().Add((publishPatience - 1) * s.site.db.wait); lock && err != nil && time.Now().Before(until); {
		if crop.CodeOf(translate(ctx, err)) != crop.Busy {
			break
		}
		err = s.st.begin(ctx, lock)
	}
	if err != nil {
		return err
	}
	now, err := s.site.change(ctx, s.st.gorm)
	if err != nil {
		return err
	}
	if s.o.IfChange != nil && *s.o.IfChange != now {
		return changedSince(now, *s.o.IfChange)
	}
	overtaken, err := s.st.overtaken(ctx, s.before, now)
	if err == nil && overtaken {
		err = errOvertaken
	}
	s.before = now
	return err
}

func (s *Session) begin(ctx context.Context) (err error) {
	if s.before, err = s.site.change(ctx, s.st.gorm); err != nil {
		return err
	}
	if s.o.IfChange != nil && *s.o.IfChange != s.before {
		return changedSince(s.before, *s.o.IfChange)
	}
	s.had = map[crop.Kind]bool{}
	for kind, t := range tables {
		s.had[kind], err = s.st.any(ctx, "EXISTS (SELECT 1 FROM main."+t.name+" WHERE site_id = ?1) OR EXISTS (SELECT 1 FROM main.history WHERE site_id = ?1 AND kind = ?2)",
			s.site.id, string(kind))
		if err != nil {
			return err
		}
	}
	return nil
}

// checkpoint moves the write-ahead log into the database and empties it, so that the log of a large import doesn't stay as
// long as it grew. Moving holds up nobody; emptying does, for as long as moving the rest takes. It does what it can: what was
// committed is safe without it.
func (s *Site) checkpoint(ctx context.Context) {
	for _, how := range []string{"PASSIVE", "TRUNCATE"} {
		_ = s.db.writer.WithContext(ctx).Exec("PRAGMA wal_checkpoint(" + how + ")").Error
	}
}

// Had tells whether there were records of a kind when the session began, or ever before.
func (s *Session) Had(kind crop.Kind) bool { return s.had[kind] }

// Catalogue returns the site's seasons, places, scales and cultivars, each by name.
func (s *Session) Catalogue(ctx context.Context) (*crop.Catalogue, error) {
	c, err := s.site.catalogue(ctx, s.st.gorm)
	if err != nil {
		return nil, fmt.Errorf("read catalogue: %w", translate(ctx, err))
	}
	return c, nil
}

// Plants returns the plants of a season with their moves, by label.
func (s *Session) Plants(ctx context.Context, season crop.ID) ([]crop.Plant, error) {
	t := tables[crop.Plants]
	rows, err := t.scan(ctx, s.st.q, "SELECT "+t.selected("")+" FROM plants WHERE site_id = ? AND season_id = ? ORDER BY label", s.site.id, key(season))
	if err != nil {
		return nil, fmt.Errorf("read plants: %w", translate(ctx, err))
	}
	records, err := recordsOf(rows)
	if err != nil {
		return nil, err
	}
	if err := addMoves(ctx, s.st.q, s.site.id, records); err != nil {
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
		ctx: ctx, site: s.site.id, q: s.st.q, aside: s.st, changes: changes, now: s.now, o: o,
		entries: map[link]*entry{}, refs: newRefs(s.site.id), answers: make([]answer, len(changes)),
	}
	if err := b.run(); err != nil {
		return fmt.Errorf("apply changes: %w", translate(ctx, err))
	}
	left := map[crop.Kind][]crop.ID{}
	for _, e := range b.order {
		switch {
		case !e.wrote:
			left[e.kind] = append(left[e.kind], e.id)
		default:
			s.written++
			if len(referrers[e.kind]) > 0 {
				s.refs = newRefs(s.site.id) // they may be the old ones
			}
		}
	}
	s.grown += b.grown()
	for kind, ids := range left {
		if err := s.st.look(ctx, kind, ids); err != nil {
			return fmt.Errorf("apply changes: %w", translate(ctx, err))
		}
	}
	return nil
}
