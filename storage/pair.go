package storage

import (
	"context"
	"database/sql"
	"runtime"
	"sync"

	"gorm.io/gorm"
)

// begin starts a transaction.
func begin(ctx context.Context, db *gorm.DB) (gorm.ConnPool, gorm.TxCommitter, error) {
	if p, ok := db.ConnPool.(gorm.ConnPoolBeginner); ok {
		tx, err := p.BeginTx(ctx, &sql.TxOptions{})
		if err != nil {
			return nil, nil, err
		}
		return tx, tx.(gorm.TxCommitter), nil
	}
	tx, err := db.ConnPool.(gorm.TxBeginner).BeginTx(ctx, nil)
	return tx, tx, err
}

// second opens a second connection that reads the same state of the database as one whose site is at the given change
// number, so that two processors can read a season. It gives none if there is one processor only, if another load has a
// second connection (they could wait for each other's), or if something was written in between. The caller calls done.
func (s *Site) second(ctx context.Context, change int64) (q gorm.ConnPool, done func()) {
	none := func() {}
	if runtime.GOMAXPROCS(0) < 2 {
		return nil, none
	}
	select {
	case s.db.pair <- struct{}{}:
	default:
		return nil, none
	}
	q, tx, err := begin(ctx, s.db.reader)
	if err != nil {
		<-s.db.pair
		return nil, none
	}
	done = func() {
		_ = tx.Rollback() // it has only read
		<-s.db.pair
	}
	var at int64
	if err := q.QueryRowContext(ctx, "SELECT change FROM sites WHERE id = ?", s.id).Scan(&at); err != nil || at != change {
		done()
		return nil, none
	}
	return q, done
}

// share carries out tasks on one connection or, if there is a second, on two at a time, each task on whichever is free. It
// returns the first error and starts no task after it.
func share(first, second gorm.ConnPool, tasks []func(q gorm.ConnPool) error) error {
	var mu sync.Mutex
	var failed error
	next := 0
	take := func() func(gorm.ConnPool) error {
		mu.Lock()
		defer mu.Unlock()
		if failed != nil || next == len(tasks) {
			return nil
		}
		next++
		return tasks[next-1]
	}
	work := func(q gorm.ConnPool) {
		for task := take(); task != nil; task = take() {
			if err := task(q); err != nil {
				mu.Lock()
				if failed == nil {
					failed = err
				}
				mu.Unlock()
			}
		}
	}
	var all sync.WaitGroup
	if second != nil {
		all.Go(func() { work(second) })
	}
	work(first)
	all.Wait()
	return failed
}
