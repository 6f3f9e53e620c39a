package storage

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// openBoth opens one file as two programs do.
func openBoth(t *testing.T, wait time.Duration) (one, other *Site) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shared.db")
	open := func() *Site {
		db, err := Open(t.Context(), path, Options{Wait: wait, Now: func() time.Time { return testNow }})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = db.Close() })
		return db.Site()
	}
	return open(), open()
}

// Nobody waits for a session that reads and writes, be it in the program or in another.
func TestWritingDuringASession(t *testing.T) {
	s, other := openBoth(t, 50*time.Millisecond)
	tr := newTrial(s, "spring", 5)
	mustApply(t, s, tr.base())
	theirs := tr.visits(s, 2)
	mine := recordsIn(tr.visits(s, 4), crop.Visits)[10:] // of later times
	calls := 0
	err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		calls++
		if err := ses.Add(t.Context(), crop.Visits, mine); err != nil {
			return err
		}
		for i, c := range theirs {
			mustApply(t, []*Site{s, other}[i%2], []crop.Change{c})
		}
		if n := countOf(t, other, crop.Visits); n != len(theirs) {
			t.Errorf("others see %d counts, want %d", n, len(theirs))
		}
		return nil
	})
	if err != nil || calls != 1 {
		t.Fatalf("%v after %d calls, want one", err, calls)
	}
	if n := countOf(t, s, crop.Visits); n != len(theirs)+len(mine) {
		t.Errorf("%d counts, want %d", n, len(theirs)+len(mine))
	}
	wantForgotten(t, s)
	wantSoundSite(t, s)
}

// wantForgotten checks that nothing is left of an import.
func wantForgotten(t *testing.T, s *Site) {
	t.Helper()
	var imports, noted int
	if err := s.db.pools[0].QueryRow("SELECT (SELECT count(*) FROM imports), (SELECT count(*) FROM noted)").Scan(&imports, &noted); err != nil {
		t.Fatal(err)
	}
	if imports+noted > 0 {
		t.Errorf("%d imports and %d notes are left", imports, noted)
	}
}

func wantSoundSite(t *testing.T, s *Site) {
	t.Helper()
	checked, err := Check(t.Context(), s.db.path, CheckOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range checked.Damage {
		t.Errorf("check: %s", d)
	}
}

// A dry run goes well while another program has the lock all the time.
func TestDryRunTakesNoLock(t *testing.T) {
	s, other := openBoth(t, 50*time.Millisecond)
	tr := newTrial(s, "spring", 3)
	mustApply(t, s, tr.base())
	conn, err := other.db.pools[0].Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(t.Context(), "BEGIN IMMEDIATE"); err != nil {
		t.Fatal(err)
	}
	defer conn.ExecContext(t.Context(), "ROLLBACK")
	session := func(o crop.ApplyOptions) error {
		return s.Session(t.Context(), o, func(ses *Session) error {
			if err := ses.Apply(t.Context(), named(s, "summer")); err != nil {
				return err
			}
			return ses.Add(t.Context(), crop.Visits, recordsIn(tr.visits(s, 3), crop.Visits))
		})
	}
	if err := session(crop.ApplyOptions{DryRun: true}); err != nil {
		t.Errorf("dry run: %v", err)
	}
	if err := session(crop.ApplyOptions{}); crop.CodeOf(err) != crop.Busy {
		t.Errorf("%v, want busy", err)
	}
}

// What a session wrote it finds again, changed or new, and the tables as they will be.
func TestSessionSeesItsOwn(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "own", 3)
	mustApply(t, s, tr.base())
	mustApply(t, s, slices.Concat(tr.visits(s, 2), tr.rest(s)))
	all := slices.Concat(tr.visits(s, 4)[6:], []crop.Change{
		{Record: &crop.Picking{ID: s.NewID(), PlantID: &tr.plants[0].ID, PickedAt: crop.InstantMoment(testNow), Fruits: new(2)}},
		{Record: &crop.Picking{ID: s.NewID(), Unit: crop.Unit{SeasonID: &tr.season.ID, PlaceID: &tr.place.ID, CultivarID: &tr.cultivar.ID},
			PickedAt: crop.InstantMoment(testNow), Fruits: new(2)}},
		{Record: &crop.DiaryEntry{ID: s.NewID(), SeasonID: tr.season.ID, NotedAt: crop.InstantMoment(testNow), Kind: "cleaned"}},
	})
	err := s.Session(t.Context(), crop.ApplyOptions{Actor: "Ada"}, func(ses *Session) error {
		ctx := t.Context()
		var w watch
		ses.st.q = &watchedPool{ConnPool: ses.st.q, w: &w}
		for _, c := range all {
			if err := ses.Add(ctx, c.Record.RecordKind(), []crop.Record{c.Record}); err != nil {
				return err
			}
		}
		for _, c := range all {
			like := clone(c.Record)
			like.SetIdentity(crop.ID{})
			found, err := ses.Alike(ctx, like.RecordKind(), []crop.Record{like}, []crop.Record{like}, nil)
			if err != nil || len(found) != 1 || found[0].Identity() != c.Record.Identity() {
				t.Errorf("alike %+v: %v, %v", like, found, err)
			}
			if found, err = ses.Alike(ctx, like.RecordKind(), nil, nil, []crop.ID{c.Record.Identity()}); err != nil || len(found) != 1 {
				t.Errorf("by id: %v, %v", found, err)
			}
		}
		for _, st := range w.take() {
			plan, err := planOver(t, ses.st.conn, st)
			for _, step := range plan {
				if strings.HasPrefix(st.query, "SELECT t.") && wholeSite.MatchString(step) && !small.MatchString(step) {
					t.Errorf("plan goes through all: %s, %v\nin %s", step, err, st.query)
				}
			}
		}
		// The plant under another label, twice over, and without its move.
		p := *tr.plants[0]
		p.Moves = nil
		for _, label := range []string{"first", "second"} {
			p.Label = label
			if err := ses.Apply(ctx, []crop.Change{{Record: &p}}); err != nil {
				return err
			}
		}
		edited := *all[0].Record.(*crop.Visit)
		edited.Note = "edited"
		if err := ses.Apply(ctx, []crop.Change{{Record: &edited}, {Record: tr.visits(s, 1)[0].Record}}); err != nil {
			return err
		}
		plants, err := ses.Plants(ctx, tr.season.ID)
		if err != nil || len(plants) != 3 || !slices.ContainsFunc(plants, func(p crop.Plant) bool { return p.Label == "second" && len(p.Moves) == 0 }) {
			t.Errorf("plants %+v, %v", plants, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	versions, err := s.History(t.Context(), crop.Plants, tr.plants[0].ID)
	if err != nil || len(versions) != 3 || versions[1].Record.(*crop.Plant).Label != "first" || versions[2].Actor != "Ada" {
		t.Errorf("the plant's versions: %+v, %v", versions, err)
	}
	if got, err := s.Get(t.Context(), crop.Visits, all[0].Record.Identity()); err != nil || got.Version != 2 || got.Record.(*crop.Visit).Note != "edited" {
		t.Errorf("the count: %+v, %v", got, err)
	}
	if wrong, _, err := db.WrongDigests(t.Context()); err != nil || len(wrong) > 0 {
		t.Errorf("wrong digests: %v, %v", wrong, err)
	}
	wantSoundSite(t, s)
}

// An import that was killed is forgotten by the first change after its time.
func TestKilledImportIsForgotten(t *testing.T) {
	now := testNow
	db, err := Open(t.Context(), filepath.Join(t.TempDir(), "trial.db"), Options{Now: func() time.Time { return now }})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	s := db.Site()
	if _, err := s.register(t.Context()); err != nil {
		t.Fatal(err)
	}
	mustApply(t, s, named(s, "spring"))
	var noted int
	if err := db.pools[0].QueryRow("SELECT count(*) FROM noted").Scan(&noted); err != nil || noted != 1 {
		t.Errorf("%d notes, %v; want 1", noted, err)
	}
	now = now.Add(importLease + time.Minute)
	mustApply(t, s, named(s, "summer"))
	wantForgotten(t, s)
	wantSoundSite(t, s)
}

// What is kept aside has no name, and nothing is beside the database but its log.
func TestAsideHasNoName(t *testing.T) {
	dir := t.TempDir()
	for _, variable := range []string{"TMPDIR", "SQLITE_TMPDIR"} {
		t.Setenv(variable, dir)
	}
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "aside", 1000)
	mustApply(t, s, tr.base())
	err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		if err := ses.Add(t.Context(), crop.Visits, recordsIn(tr.visits(s, 100), crop.Visits)); err != nil { // more than is held in memory
			return err
		}
		for _, pattern := range []string{filepath.Join(dir, "*"), filepath.Join(filepath.Dir(db.path), "*")} {
			files, err := filepath.Glob(pattern)
			for _, f := range files {
				if !strings.HasPrefix(f, db.path) || strings.Contains(strings.TrimPrefix(f, db.path), "journal") {
					t.Errorf("there is %s, %v", f, err)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
