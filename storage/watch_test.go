package storage

import (
	"context"
	"database/sql"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

var testNow = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)

func openTest(tb testing.TB) *DB {
	tb.Helper()
	db, err := Open(context.Background(), filepath.Join(tb.TempDir(), "trial.db"), Options{Now: func() time.Time { return testNow }})
	if err != nil {
		tb.Fatalf("open: %v", err)
	}
	tb.Cleanup(func() {
		if err := db.Close(); err != nil {
			tb.Errorf("close: %v", err)
		}
	})
	return db
}

// watch notes every statement of a database, in gorm and in database/sql.
type watch struct {
	mu         sync.Mutex
	statements []statement
}

type statement struct {
	query string
	args  []any
}

// on puts the watch between gorm and the connections of db.
func (w *watch) on(db *DB) {
	for _, g := range []*gorm.DB{db.writer, db.reader} {
		pool := &watchedPool{ConnPool: g.ConnPool, w: w}
		g.ConnPool = pool
		g.Statement.ConnPool = pool
	}
}

func (w *watch) note(query string, args []any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.statements = append(w.statements, statement{query, args})
}

// take returns what was noted since the last time.
func (w *watch) take() []statement {
	w.mu.Lock()
	defer w.mu.Unlock()
	taken := w.statements
	w.statements = nil
	return taken
}

type watchedPool struct {
	gorm.ConnPool
	w *watch
}

func (p *watchedPool) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	p.w.note(query, args)
	return p.ConnPool.ExecContext(ctx, query, args...)
}

func (p *watchedPool) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	p.w.note(query, args)
	return p.ConnPool.QueryContext(ctx, query, args...)
}

func (p *watchedPool) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	p.w.note(query, args)
	return p.ConnPool.QueryRowContext(ctx, query, args...)
}

func (p *watchedPool) BeginTx(ctx context.Context, o *sql.TxOptions) (gorm.ConnPool, error) {
	tx, err := p.ConnPool.(gorm.TxBeginner).BeginTx(ctx, o)
	if err != nil {
		return nil, err
	}
	return &watchedTx{watchedPool{tx, p.w}, tx}, nil
}

type watchedTx struct {
	watchedPool
	tx *sql.Tx
}

func (t *watchedTx) Commit() error   { return t.tx.Commit() }
func (t *watchedTx) Rollback() error { return t.tx.Rollback() }

// trial is a season for tests and benchmarks.
type trial struct {
	season   *crop.Season
	place    *crop.Place
	cultivar *crop.Cultivar
	plants   []*crop.Plant
}

func newTrial(s *Site, name string, plants int) *trial {
	t := &trial{
		season:   &crop.Season{ID: s.NewID(), Name: name},
		place:    &crop.Place{ID: s.NewID(), Name: name, TimeZone: "Europe/Lisbon"},
		cultivar: &crop.Cultivar{ID: s.NewID(), Name: name},
	}
	for i := range plants {
		t.plants = append(t.plants, &crop.Plant{
			ID: s.NewID(), SeasonID: t.season.ID, PlaceID: t.place.ID, CultivarID: t.cultivar.ID, Label: string(rune('A'+i%26)) + time.Duration(i).String(),
			SownOn: &crop.Date{Year: 2026, Month: 1, Day: 1}, Moves: []crop.Move{{PlaceID: t.place.ID, On: crop.Date{Year: 2026, Month: 3, Day: 1}}},
		})
	}
	return t
}

func (t *trial) base() []crop.Change {
	changes := []crop.Change{{Record: t.season}, {Record: t.place}, {Record: t.cultivar}}
	for _, p := range t.plants {
		changes = append(changes, crop.Change{Record: p})
	}
	return changes
}

func (t *trial) visits(s *Site, each int) []crop.Change {
	changes := make([]crop.Change, 0, each*len(t.plants))
	start := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	for v := range each {
		for i, p := range t.plants {
			at := start.Add(time.Duration(v)*6*time.Hour + time.Duration(i)*time.Second)
			changes = append(changes, crop.Change{Record: &crop.Visit{
				ID: s.NewID(), PlantID: p.ID, CountedAt: crop.InstantMoment(at), Observer: "A",
				Counts: map[string]int{"green": 20 + v, "breaker": v % 5, "turning": v % 4, "red": v % 3},
			}})
		}
	}
	return changes
}

func (t *trial) rest(s *Site) (changes []crop.Change) {
	at := crop.InstantMoment(time.Date(2026, 4, 1, 8, 0, 0, 0, time.UTC))
	for _, p := range t.plants {
		changes = append(changes,
			crop.Change{Record: &crop.Picking{ID: s.NewID(), PlantID: &p.ID, PickedAt: at, Fruits: new(2)}},
			crop.Change{Record: &crop.Loss{ID: s.NewID(), PlantID: &p.ID, LostAt: at, Stage: "red", Fruits: new(1), Cause: crop.Dropped}},
			crop.Change{Record: &crop.DiaryEntry{ID: s.NewID(), SeasonID: t.season.ID, PlantID: &p.ID, NotedAt: at, Kind: "pruned"}})
	}
	for h := range 100 {
		changes = append(changes, crop.Change{Record: &crop.Temperature{ID: s.NewID(), PlaceID: t.place.ID,
			MeasuredAt: at.At.Add(time.Duration(h) * time.Hour), AirC: new(20.0)}})
	}
	return changes
}

func mustApply(tb testing.TB, s *Site, changes []crop.Change) []crop.Outcome {
	tb.Helper()
	out, err := s.Apply(context.Background(), changes, crop.ApplyOptions{})
	if err != nil {
		tb.Fatalf("apply: %v", err)
	}
	return out
}
