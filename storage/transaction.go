package storage

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"

	"gorm.io/gorm"
)

// beginWriting starts a transaction that writes. On a plain pool it takes a connection and begins there itself: a sql.Tx
// starts a goroutine to watch over it, which takes longer than what a small write asks of SQLite. ctx must be one that
// doesn't end, as those of grouped writes are.
func beginWriting(ctx context.Context, db *gorm.DB) (gorm.ConnPool, gorm.TxCommitter, error) {
	pool, ok := db.ConnPool.(*sql.DB)
	if !ok {
		return begin(ctx, db)
	}
	conn, err := pool.Conn(ctx)
	if err != nil {
		return nil, nil, err
	}
	if _, err := conn.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return nil, nil, errors.Join(err, conn.Close())
	}
	t := &writing{Conn: conn}
	return t, t, nil
}

// writing is a transaction on a connection of its own, a gorm.ConnPool and a gorm.TxCommitter. It ends once.
type writing struct {
	*sql.Conn
	ended bool
}

// Commit makes the changes last, or undoes them if it can't.
func (t *writing) Commit() error { return t.end("COMMIT") }

// Rollback undoes the changes, unless the transaction has ended.
func (t *writing) Rollback() error { return t.end("ROLLBACK") }

func (t *writing) end(how string) error {
	if t.ended {
		return sql.ErrTxDone
	}
	t.ended = true
	_, err := t.ExecContext(context.Background(), how)
	if err == nil {
		return t.Close()
	}
	// After a commit that was refused the transaction is still open. SQLite itself ends one on the gravest errors; a connection
	// that can't undo for this or another reason is given up, so that nobody writes in what is left of it.
	if _, undone := t.ExecContext(context.Background(), "ROLLBACK"); undone != nil {
		_ = t.Raw(func(any) error { return driver.ErrBadConn })
	}
	_ = t.Close() // it may be closed already
	return err
}
