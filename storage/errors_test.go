package storage

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// TestConstraints writes past the checks in Go: the schema refuses, and the driver's error becomes one of ours.
func TestConstraints(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "spring", 1)
	mustApply(t, s, tr.base())
	mustApply(t, s, tr.visits(s, 1))
	plant := key(tr.plants[0].ID)
	visit := `INSERT INTO visits (site_id, id, version, recorded_at, actor, plant_id, counted_at, counted_day, counts, at_least, about,
		observer, note) VALUES (1, ?, 1, 0, '', ?, 0, ?, ?, 0, 0, '', '')`
	id := func() key { return key(s.NewID()) }
	for _, c := range []struct {
		name  string
		want  crop.Code
		query string
		args  []any
	}{
		{"fine", "", visit, []any{id(), plant, "2026-05-01", `{"green":0}`}},
		{"negative count", crop.Invalid, visit, []any{id(), plant, nil, `{"green":-1}`}},
		{"half a fruit", crop.Invalid, visit, []any{id(), plant, nil, `{"green":1.5}`}},
		{"count in words", crop.Invalid, visit, []any{id(), plant, nil, `{"green":"1"}`}},
		{"null count", crop.Invalid, visit, []any{id(), plant, nil, `{"green":null}`}},
		{"counts that are no object", crop.Invalid, visit, []any{id(), plant, nil, `[1]`}},
		{"counts that are no JSON", crop.Invalid, visit, []any{id(), plant, nil, `{`}},
		{"no counts and no total", crop.Invalid, visit, []any{id(), plant, nil, `{}`}},
		{"day that doesn't exist", crop.Invalid, visit, []any{id(), plant, "2026-02-30", `{"green":1}`}},
		{"short id", crop.Invalid, visit, []any{[]byte("short"), plant, nil, `{"green":1}`}},
		{"plant that isn't there", crop.Conflict, visit, []any{id(), id(), nil, `{"green":1}`}},
		{"edited to a negative count", crop.Invalid, `UPDATE visits SET counts = '{"red":-2}'`, nil},
		{"text in a number", crop.Invalid, `UPDATE visits SET counted_at = 'noon'`, nil},
		{"name taken", crop.Conflict, `INSERT INTO seasons (site_id, id, version, recorded_at, actor, name) VALUES (1, ?, 1, 0, '', 'spring')`,
			[]any{id()}},
		{"id taken", crop.Conflict, `INSERT INTO seasons (site_id, id, version, recorded_at, actor, name) SELECT site_id, id, 1, 0, '', 'x' FROM seasons`, nil},
		{"name missing", crop.Invalid, `UPDATE seasons SET name = NULL`, nil},
		{"season of plants deleted", crop.Conflict, `DELETE FROM seasons`, nil},
		{"site that isn't there", crop.Conflict, `INSERT INTO seasons (site_id, id, version, recorded_at, actor, name) VALUES (2, ?, 1, 0, '', 'x')`,
			[]any{id()}},
	} {
		t.Run(c.name, func(t *testing.T) {
			tx, err := db.pools[0].BeginTx(t.Context(), nil)
			if err != nil {
				t.Fatal(err)
			}
			if _, err = tx.Exec(c.query, c.args...); err == nil {
				err = tx.Commit() // where foreign keys are checked
			}
			tx.Rollback()
			err = translate(t.Context(), err)
			if got := crop.CodeOf(err); got != c.want || err != nil && c.want == "" {
				t.Errorf("code %q (%v), want %q", got, err, c.want)
			}
		})
	}
}

// TestColumns: the row structs and the tables have the same columns.
func TestColumns(t *testing.T) {
	db := openTest(t)
	layouts := map[string]layout{"sites": layoutOf[siteRow](), "history": historyLayout, "plant_moves": moveLayout}
	for _, kind := range crop.Kinds() {
		layouts[tables[kind].name] = tables[kind].written
	}
	for name, l := range layouts {
		types, err := db.reader.Migrator().ColumnTypes(name)
		if err != nil {
			t.Fatal(err)
		}
		var have []string
		for _, c := range types {
			have = append(have, c.Name())
		}
		want := slices.Clone(l.columns)
		slices.Sort(have)
		slices.Sort(want)
		if !slices.Equal(have, want) {
			t.Errorf("%s: the table has %v, the rows %v", name, have, want)
		}
	}
}

func TestDiskFull(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "spring", 10)
	mustApply(t, s, tr.base())
	// A file that may not grow is what a full disk looks like.
	var pages int
	if err := db.pools[0].QueryRow(`PRAGMA page_count`).Scan(&pages); err != nil {
		t.Fatal(err)
	}
	if _, err := db.pools[0].Exec(`PRAGMA max_page_count = ` + fmt.Sprint(pages+5)); err != nil {
		t.Fatal(err)
	}
	_, err := s.Apply(t.Context(), tr.visits(s, 300), crop.ApplyOptions{})
	if !errors.Is(err, ErrFull) || crop.CodeOf(err) != crop.Full {
		t.Errorf("apply: %v, want %v", err, ErrFull)
	}
	if _, err := db.pools[0].Exec(`PRAGMA max_page_count = 100000`); err != nil {
		t.Fatal(err)
	}
	page, err := s.List(t.Context(), crop.Visits, crop.Filter{})
	if err != nil || len(page.Items) != 0 {
		t.Errorf("%d counts stored of a batch that found no room, %v", len(page.Items), err)
	}
	mustApply(t, s, tr.visits(s, 300))
}

// TestBusy: a change that waits too long for another is refused as busy, in the program and across programs.
func TestBusy(t *testing.T) {
	path := filepath.Join(t.TempDir(), "trial.db")
	open := func() *DB {
		db, err := Open(t.Context(), path, Options{Wait: 100 * time.Millisecond})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { db.Close() })
		return db
	}
	one, two := open(), open()
	season := func(s *Site) []crop.Change {
		return []crop.Change{{Record: &crop.Season{ID: s.NewID(), Name: s.NewID().String()}}}
	}
	one.turn <- struct{}{}
	if _, err := one.Site().Apply(t.Context(), season(one.Site()), crop.ApplyOptions{}); crop.CodeOf(err) != crop.Busy {
		t.Errorf("apply while another of the program writes: %v, want busy", err)
	}
	<-one.turn
	tx, err := two.pools[0].BeginTx(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	if _, err := one.Site().Apply(t.Context(), season(one.Site()), crop.ApplyOptions{}); crop.CodeOf(err) != crop.Busy {
		t.Errorf("apply while another program writes: %v, want busy", err)
	}
	if waited := time.Since(start); waited < 50*time.Millisecond || waited > 5*time.Second {
		t.Errorf("waited %s, want about 100 ms", waited)
	}
	if _, err := one.Site().Catalogue(t.Context()); err != nil {
		t.Errorf("reading while another writes: %v", err)
	}
	if err := tx.Rollback(); err != nil {
		t.Fatal(err)
	}
	mustApply(t, one.Site(), season(one.Site()))
}

// TestTranslate covers what is hard to bring about. The numbers are SQLite's (sqlite.org/rescode.html); the drivers'
// errors can't be made by hand alike, so TestConstraints and the others show that they carry them.
func TestTranslate(t *testing.T) {
	if err := translate(t.Context(), nil); err != nil {
		t.Errorf("no error became %v", err)
	}
	own := crop.Errorf(crop.Invalid, "mend it")
	if err := translate(t.Context(), own); !errors.Is(err, own) {
		t.Errorf("our own error became %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := translate(ctx, errors.New("interrupted")); !errors.Is(err, context.Canceled) {
		t.Errorf("an error after the caller left became %v", err)
	}
}
