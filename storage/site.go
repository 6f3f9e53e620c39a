package storage

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"
	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// Site is who owns the records; a database has one as yet.
type Site struct {
	db   *DB
	id   int64    // in the database's keys
	view *gorm.DB // the transaction that a Snapshot reads in
}

// NewID makes an id for a record: a UUID of version 7, so that ids sort by the time of making.
func (s *Site) NewID() crop.ID { return crop.ID(uuid.Must(uuid.NewV7())) }

// now is the present as the database keeps it.
func (s *Site) now() time.Time { return s.db.now().UTC().Truncate(time.Millisecond) }

// openSite finds the site or makes it, with the two shipped scales. It finds out whether the file can be written.
func (db *DB) openSite(ctx context.Context) (*Site, error) {
	s := &Site{db: db}
	err := s.read(ctx, func(tx *gorm.DB) error { return s.find(ctx, tx) })
	if err == nil {
		return s, db.tryWriting(ctx)
	}
	if !errors.Is(err, gorm.ErrRecordNotFound) {
		return s, err
	}
	err = s.write(ctx, func(tx *gorm.DB) error {
		if err := s.find(ctx, tx); !errors.Is(err, gorm.ErrRecordNotFound) {
			return err // somebody else has made it meanwhile
		}
		shipped := []crop.Scale{crop.DefaultScale(), crop.ColourClasses()}
		made := siteRow{ID: 1, UUID: key(s.NewID()), CreatedAt: s.now().UnixMilli(), Records: int64(len(shipped))}
		var d digester
		made.Digest = d.site(&made)
		if err := gorm.G[siteRow](tx).Create(ctx, &made); err != nil {
			return err
		}
		s.id = made.ID
		for _, scale := range shipped {
			row, err := newScaleRow(&scale)
			if err != nil {
				return err
			}
			row.RowBase = rowBase{SiteID: s.id, ID: key(scale.ID), Version: 1, RecordedAt: millisOf(s.now())}
			row.RowBase.Digest = d.row(s.id, crop.Scales, &row, 0)
			if err := gorm.G[scaleRow](tx).Create(ctx, &row); err != nil {
				return err
			}
		}
		return nil
	})
	return s, err
}

func (s *Site) find(ctx context.Context, tx *gorm.DB) error {
	found, err := gorm.G[siteRow](tx).Order("id").First(ctx)
	s.id = found.ID
	return err
}

// tryWriting refuses a file that can't be written, which SQLite opens without a word: a statement that could write finds
// out. A file that somebody is writing can be written. A long import may be at it, and who only reads needn't wait for its
// end.
func (db *DB) tryWriting(ctx context.Context) error {
	conn, err := db.pools[0].Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close()
	if _, err := conn.ExecContext(ctx, "PRAGMA busy_timeout = 0"); err != nil {
		return err
	}
	if _, err = conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err == nil {
		_, err = conn.ExecContext(ctx, "DELETE FROM sites WHERE 0")
		_, undone := conn.ExecContext(ctx, "ROLLBACK")
		err = errors.Join(err, undone)
	}
	_, back := conn.ExecContext(ctx, fmt.Sprintf("PRAGMA busy_timeout = %d", db.wait.Milliseconds()))
	if code, ok := resultCode(err); ok && code&0xff == codeBusy {
		err = nil
	}
	return errors.Join(err, back)
}

// read runs f over one state of the database, whatever is written meanwhile.
func (s *Site) read(ctx context.Context, f func(tx *gorm.DB) error) error {
	if s.view != nil {
		return translate(ctx, f(s.view.WithContext(ctx)))
	}
	return translate(ctx, s.db.reader.WithContext(ctx).Transaction(f))
}

// write runs f in the one transaction that writes; an error undoes it all.
func (s *Site) write(ctx context.Context, f func(tx *gorm.DB) error) error {
	if s.view != nil {
		return errView
	}
	patience := time.NewTimer(s.db.wait)
	defer patience.Stop()
	select {
	case s.db.turn <- struct{}{}:
	case <-patience.C:
		return busy()
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-s.db.turn }()
	began, committed := s.db.standing.change, false
	defer func() {
		if !committed {
			s.db.standing.undone(began)
		}
	}()
	err := s.db.writer.WithContext(ctx).Transaction(f)
	committed = err == nil
	return translate(ctx, err)
}

// change returns the site's change number.
func (s *Site) change(ctx context.Context, tx *gorm.DB) (int64, error) {
	row, err := gorm.G[siteRow](tx).Where("id = ?", s.id).Take(ctx)
	return row.Change, err
}
