package storage

import (
	"context"
	"errors"
	"slices"
	"sync"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// groupable is how many changes a batch may have to share its transaction with others. Longer ones would make the others
// wait, and gain nothing.
const groupable = 1000

// queue holds the writes that wait for their turn. Whoever gets the turn carries out all of them in one transaction, so
// that they share the wait for the disk, which a single small write spends most of its time on.
type queue struct {
	mu      sync.Mutex
	waiting []*job
}

// job is one write. It may be run twice, if the transaction it was in fails for another's sake.
type job struct {
	ctx  context.Context
	run  func(ctx context.Context, q gorm.ConnPool) error
	done chan error
	// panicked is what run panicked with. Whoever has the turn runs the jobs of others too: the panic is theirs to have, each in its own
	// goroutine, and must neither undo the others nor leave them waiting.
	panicked any
}

var errPanicked = errors.New("the write panicked")

// safely runs the job; a panic becomes an error and is kept for the caller.
func (j *job) safely(ctx context.Context, q gorm.ConnPool) (err error) {
	j.panicked = nil // of an attempt before
	defer func() {
		if p := recover(); p != nil {
			j.panicked, err = p, errPanicked
		}
	}()
	return j.run(ctx, q)
}

// settled waits for the job's answer.
func (j *job) settled() error { return j.outcome(<-j.done) }

func (j *job) outcome(err error) error {
	if j.panicked != nil {
		panic(j.panicked)
	}
	return err
}

func (q *queue) add(j *job) {
	q.mu.Lock()
	defer q.mu.Unlock()
	q.waiting = append(q.waiting, j)
}

func (q *queue) take() []*job {
	q.mu.Lock()
	defer q.mu.Unlock()
	all := q.waiting
	q.waiting = nil
	return all
}

// withdraw takes a job back unless somebody is at it.
func (q *queue) withdraw(j *job) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	at := slices.Index(q.waiting, j)
	if at < 0 {
		return false
	}
	q.waiting = slices.Delete(q.waiting, at, at+1)
	return true
}

// writeGrouped is write for what is small: it returns when f's changes are on the disk, alone or with those of others who
// waited at the same time. One that fails undoes its own changes only. What is large goes alone.
func (s *Site) writeGrouped(ctx context.Context, large bool, f func(ctx context.Context, q gorm.ConnPool) error) error {
	if large {
		return s.write(ctx, func(tx *gorm.DB) error { return f(tx.Statement.Context, tx.Statement.ConnPool) })
	}
	if s.view != nil {
		return errView
	}
	j := &job{ctx: ctx, run: f, done: make(chan error, 1)}
	s.db.queue.add(j)
	serve := func() error {
		func() {
			defer func() { <-s.db.turn }()
			s.runAll(s.db.queue.take())
		}()
		return j.settled()
	}
	select {
	case s.db.turn <- struct{}{}: // nobody writes
		return serve()
	default:
	}
	patience := time.NewTimer(s.db.wait)
	defer patience.Stop()
	giveUp := func(why error) error {
		if s.db.queue.withdraw(j) {
			return why
		}
		return j.settled()
	}
	select {
	case err := <-j.done:
		return j.outcome(err)
	case s.db.turn <- struct{}{}: // whoever had it before is done with what it took, so j is done or waits still
		return serve()
	case <-patience.C:
		return giveUp(busy())
	case <-ctx.Done():
		return giveUp(ctx.Err())
	}
}

// runAll carries out jobs in one transaction, and one by one if that fails as a whole.
func (s *Site) runAll(jobs []*job) {
	jobs = slices.DeleteFunc(jobs, func(j *job) bool {
		gone := j.ctx.Err()
		if gone != nil {
			j.done <- gone
		}
		return gone != nil
	})
	if len(jobs) == 0 {
		return
	}
	if len(jobs) > 1 {
		results, err := s.together(jobs)
		if err == nil || crop.CodeOf(err) == crop.Busy {
			for i, j := range jobs {
				if err != nil {
					results[i] = err
				}
				j.done <- results[i]
			}
			return
		}
	}
	for _, j := range jobs {
		j.done <- s.alone(j)
	}
}

// alone runs a job in a transaction of its own. Once begun it doesn't end with its caller: it takes less time than to watch
// for that.
func (s *Site) alone(j *job) error {
	ctx := context.WithoutCancel(j.ctx)
	return translate(ctx, s.transact(ctx, func(q gorm.ConnPool) error { return j.safely(ctx, q) }))
}

// transact runs f in a transaction that writes; an error undoes it all, and then nothing that a batch has learnt in it stands.
func (s *Site) transact(ctx context.Context, f func(q gorm.ConnPool) error) error {
	began, committed := s.db.standing.change, false
	defer func() {
		if !committed {
			s.db.standing.undone(began)
		}
	}()
	q, tx, err := beginWriting(ctx, s.db.writer)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }() // nothing, once it is committed
	if err := f(q); err != nil {
		return err
	}
	err = tx.Commit()
	committed = err == nil
	return err
}

// together runs each job between savepoints of one transaction. SQLite undoes a whole transaction if a statement in it is
// interrupted (sqlite.org/c3ref/interrupt.html), so jobs under way don't end with their callers.
func (s *Site) together(jobs []*job) (results []error, err error) {
	results = make([]error, len(jobs))
	ctx := context.WithoutCancel(jobs[0].ctx)
	err = s.transact(ctx, func(q gorm.ConnPool) error {
		for i, j := range jobs {
			if _, err := q.ExecContext(ctx, "SAVEPOINT job"); err != nil {
				return err
			}
			own := context.WithoutCancel(j.ctx)
			results[i] = translate(own, j.safely(own, q))
			if results[i] != nil {
				if _, err := q.ExecContext(ctx, "ROLLBACK TO job"); err != nil {
					return errors.Join(results[i], err)
				}
			}
			if _, err := q.ExecContext(ctx, "RELEASE job"); err != nil {
				return err
			}
		}
		return nil
	})
	return results, translate(ctx, err)
}
