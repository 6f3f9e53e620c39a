package storage

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"

	"gorm.io/driver/sqlite"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"
)

// Options of a database; the zero value is ready for use.
type Options struct {
	// Now is the clock; nil is time.Now.
	Now func() time.Time
	// Wait is how long a change waits for others to finish before it is refused as busy; 0 is ten seconds.
	Wait time.Duration
}

// readers is how many connections read at once. They are cheap: reading never waits for writing.
const readers = 4

// DB is an open database. It may be used by several goroutines at once.
type DB struct {
	path   string
	now    func() time.Time
	wait   time.Duration
	writer *gorm.DB
	reader *gorm.DB
	pools  []*sql.DB
	turn   chan struct{} // holds one token: whose turn it is to write
	queue  queue
	// standing is used by whoever has the turn.
	standing standing
	kept     kept
	pair     chan struct{} // holds one token: which season load reads over two connections
	version  int64         // of the schema
	site     *Site
}

// Open opens the database that dsn names, sqlite:FILE or a path alone, and makes or updates its tables. A file that isn't
// a database of this program, is of a newer version or can't be written is refused (ErrNotOurs, ErrNewer, ErrReadOnly) and
// stays as it was.
func Open(ctx context.Context, dsn string, o Options) (*DB, error) {
	path, err := file(dsn)
	if err != nil {
		return nil, fmt.Errorf("open database: %w", err)
	}
	db := &DB{path: path, now: o.Now, wait: o.Wait, turn: make(chan struct{}, 1), pair: make(chan struct{}, 1)}
	if db.now == nil {
		db.now = time.Now
	}
	if db.wait <= 0 {
		db.wait = 10 * time.Second
	}
	if err := db.open(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("open database %s: %w", path, translate(ctx, err)), db.Close())
	}
	return db, nil
}

func (db *DB) open(ctx context.Context) (err error) {
	if err := inspect(db.path); err != nil {
		return err
	}
	if err := db.probe(ctx); err != nil {
		return err
	}
	if db.writer, err = db.pool(writerQuery(db.wait.Milliseconds()), 1); err != nil {
		return err
	}
	if db.version, err = migrate(ctx, db.pools[0]); err != nil {
		return err
	}
	if err := fillDigests(ctx, db.pools[0]); err != nil {
		return err
	}
	if db.reader, err = db.pool(readerQuery(db.wait.Milliseconds()), readers); err != nil {
		return err
	}
	db.site, err = db.openSite(ctx)
	return err
}

// pool opens connections with the same settings, which are in the data source name because each connection needs them.
func (db *DB) pool(query string, size int) (*gorm.DB, error) {
	pool, err := sql.Open(driverName, uri(db.path, query))
	if err != nil {
		return nil, err
	}
	pool.SetMaxOpenConns(size)
	pool.SetMaxIdleConns(size)
	db.pools = append(db.pools, pool)
	return gorm.Open(sqlite.New(sqlite.Config{DriverName: driverName, Conn: pool}), &gorm.Config{
		SkipDefaultTransaction: true,
		Logger:                 logger.Discard,
		NowFunc:                func() time.Time { return db.now().UTC() },
	})
}

// Close closes the database. Changes that were answered are on the disk already. The writer closes last, because only the
// last connection to close moves the write-ahead log into the file and removes it (sqlite.org/wal.html), and a connection
// that only reads can't: a closed database is one file, which may be copied.
func (db *DB) Close() error {
	var errs []error
	for _, pool := range slices.Backward(db.pools) {
		errs = append(errs, pool.Close())
	}
	return errors.Join(errs...)
}

// Ping tells whether the database answers and its tables are those this program was built for.
func (db *DB) Ping(ctx context.Context) error {
	var version int64
	err := db.reader.WithContext(ctx).Raw(schemaVersion).Row().Scan(&version)
	switch {
	case err != nil:
		return fmt.Errorf("ping database: %w", translate(ctx, err))
	case version > db.version:
		return fmt.Errorf("ping database: %w: its tables are of version %d, this program knows %d; restart with the newer program",
			ErrNewer, version, db.version)
	case version < db.version:
		return fmt.Errorf("ping database: its tables are of version %d, this program needs %d; restart", version, db.version)
	}
	return nil
}

// Site returns the one site.
func (db *DB) Site() *Site { return db.site }
