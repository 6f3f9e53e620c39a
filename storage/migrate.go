package storage

import (
	"cmp"
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"time"

	"github.com/pressly/goose/v3"
	"gorm.io/gorm"
)

//go:embed migrations/sqlite/*.sql
var migrations embed.FS

// applicationID marks our files (the letters VNTL); the first migration sets it.
const applicationID = 0x564E544C

// schemaVersion asks for the version of the tables.
const schemaVersion = `SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied`

func provider(pool *sql.DB) (*goose.Provider, error) {
	dir, err := fs.Sub(migrations, "migrations/sqlite")
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectSQLite3, pool, dir, goose.WithDisableGlobalRegistry(true))
}

func newest(p *goose.Provider) int64 {
	sources := p.ListSources()
	return sources[len(sources)-1].Version
}

// probe refuses another program's database and one of a newer version, over a connection that can't write.
func (db *DB) probe(ctx context.Context) error {
	if info, err := os.Stat(db.path); err != nil || info.Size() == 0 {
		return nil // a new one
	}
	err := db.look(ctx, readerQuery(db.wait.Milliseconds()))
	if brokenOff(err) {
		err = db.look(ctx, undoingQuery(db.wait.Milliseconds()))
	}
	return err
}

// brokenOff tells whether a program was killed within a transaction of the old kind, with a journal beside the file. Nothing
// can be read before that is undone, and a connection that can't write can't do it. Making a database begins with one.
func brokenOff(err error) bool {
	code, ok := resultCode(err)
	return ok && code == codeReadOnlyRollback
}

// look refuses what probe does, over a connection with the settings of query.
func (db *DB) look(ctx context.Context, query string) error {
	pool, err := sql.Open(driverName, uri(db.path, query))
	if err != nil {
		return err
	}
	defer pool.Close()
	_, _, err = examine(ctx, pool, pool)
	return err
}

// examine returns the version of a file's tables, 0 if it has none yet, and that of the program's, and refuses what isn't
// the program's or is newer. It asks q, which is pool or a transaction of it.
func examine(ctx context.Context, pool *sql.DB, q gorm.ConnPool) (version, known int64, err error) {
	p, err := provider(pool)
	if err != nil {
		return 0, 0, err
	}
	known = newest(p)
	var id, tables, versions int64
	if err := q.QueryRowContext(ctx, `PRAGMA application_id`).Scan(&id); err != nil {
		return 0, known, err
	}
	err = q.QueryRowContext(ctx, `SELECT coalesce(sum(name NOT LIKE 'sqlite_%' AND name <> 'goose_db_version'), 0),
		coalesce(sum(name = 'goose_db_version'), 0) FROM sqlite_schema`).Scan(&tables, &versions)
	if err != nil {
		return 0, known, err
	}
	if id != applicationID && (id != 0 || tables > 0) {
		return 0, known, fmt.Errorf("%w: it belongs to another program; name another file, nothing was changed", ErrNotOurs)
	}
	if versions == 0 {
		return 0, known, nil
	}
	if err := q.QueryRowContext(ctx, schemaVersion).Scan(&version); err != nil {
		return 0, known, err
	}
	if version > known {
		return version, known, fmt.Errorf("%w: its tables are of version %d, this program knows %d; use the newer program, nothing was changed",
			ErrNewer, version, known)
	}
	return version, known, nil
}

// migrate brings the tables up to date and returns their version. Two programs may open a new file at once; the one that
// comes second fails on a table that exists by then, and finds the work done when it looks again.
func migrate(ctx context.Context, pool *sql.DB) (version int64, err error) {
	p, err := provider(pool)
	if err != nil {
		return 0, err
	}
	const attempts = 10
	var first error // goose makes its table at the first attempt only, so the later ones may miss it and say no more than that
	for attempt := range attempts {
		if attempt > 0 {
			select {
			case <-ctx.Done():
				return 0, ctx.Err()
			case <-time.After(time.Duration(20+rand.IntN(80)) * time.Millisecond):
			}
		}
		_, err := p.Up(ctx)
		if err == nil {
			return newest(p), nil
		}
		if refusesWriting(err) {
			return 0, err
		}
		first = cmp.Or(first, err)
	}
	return 0, fmt.Errorf("update tables: %w", first)
}

// refusesWriting tells whether trying again is no use.
func refusesWriting(err error) bool {
	code, ok := resultCode(err)
	if !ok {
		return errors.Is(err, context.Canceled)
	}
	switch code & 0xff {
	case codeReadOnly, codePerm, codeCantOpen, codeFull, codeCorrupt, codeNotADB:
		return true
	}
	return false
}
