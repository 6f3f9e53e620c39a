package storage

import (
	"database/sql"
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

// TestOvertaken: a session whose outcome others' changes could have altered begins again, and one that they couldn't doesn't.
func TestOvertaken(t *testing.T) {
	for _, c := range []struct {
		name  string
		calls int
		// meanwhile is what others do during the first call.
		meanwhile func(t *testing.T, s *Site, tr *trial, mine []*crop.Visit, stored []*crop.Visit)
	}{
		{"nothing", 1, func(*testing.T, *Site, *trial, []*crop.Visit, []*crop.Visit) {}},
		{"a count of another time", 1, func(t *testing.T, s *Site, tr *trial, mine, _ []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: &crop.Visit{ID: s.NewID(), PlantID: mine[0].PlantID, CountedAt: crop.InstantMoment(mine[0].CountedAt.At.Add(time.Second)), Counts: map[string]int{"red": 1}}}})
		}},
		{"a picking of the time of a count", 1, func(t *testing.T, s *Site, tr *trial, mine, _ []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: &crop.Picking{ID: s.NewID(), PlantID: &mine[0].PlantID, PickedAt: mine[0].CountedAt, Fruits: new(1)}}})
		}},
		{"a count of the time of one that is added", 2, func(t *testing.T, s *Site, tr *trial, mine, _ []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: &crop.Visit{ID: s.NewID(), PlantID: mine[0].PlantID, CountedAt: mine[0].CountedAt, Counts: map[string]int{"red": 1}}}})
		}},
		{"a count of the time of one that was looked at", 2, func(t *testing.T, s *Site, tr *trial, _, stored []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: &crop.Visit{ID: s.NewID(), PlantID: stored[0].PlantID, CountedAt: stored[0].CountedAt, Counts: map[string]int{"red": 1}}}})
		}},
		{"the count that was looked at, edited", 2, func(t *testing.T, s *Site, _ *trial, _, stored []*crop.Visit) {
			v := *stored[0]
			v.Note = "by hand"
			mustApply(t, s, []crop.Change{{Record: &v}})
		}},
		{"the count that was looked at, deleted", 2, func(t *testing.T, s *Site, _ *trial, _, stored []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: stored[0], Delete: true}})
		}},
		{"another count, edited", 1, func(t *testing.T, s *Site, _ *trial, _, stored []*crop.Visit) {
			v := *stored[1]
			v.Note = "by hand"
			mustApply(t, s, []crop.Change{{Record: &v}})
		}},
		{"the zone of the place", 2, func(t *testing.T, s *Site, tr *trial, _, _ []*crop.Visit) {
			p := *tr.place
			p.TimeZone = "Asia/Tokyo"
			mustApply(t, s, []crop.Change{{Record: &p}})
		}},
		{"another plant", 1, func(t *testing.T, s *Site, tr *trial, _, _ []*crop.Visit) {
			p := *tr.plants[0]
			p.ID, p.Label = s.NewID(), "another"
			mustApply(t, s, []crop.Change{{Record: &p}})
		}},
		{"a season of the name of one that is added", 2, func(t *testing.T, s *Site, _ *trial, _, _ []*crop.Visit) {
			mustApply(t, s, named(s, "summer"))
		}},
		{"another season", 1, func(t *testing.T, s *Site, _ *trial, _, _ []*crop.Visit) { mustApply(t, s, named(s, "autumn")) }},
		{"more than is noted", 2, func(t *testing.T, s *Site, tr *trial, _, _ []*crop.Visit) {
			var many []crop.Change
			for i := range mostNoted + 1 {
				many = append(many, crop.Change{Record: &crop.Visit{ID: s.NewID(), PlantID: tr.plants[1].ID,
					CountedAt: crop.InstantMoment(testNow.Add(-time.Duration(i) * time.Minute)), Counts: map[string]int{"red": 1}}})
			}
			mustApply(t, s, many)
		}},
		{"what wasn't noted", 2, func(t *testing.T, s *Site, _ *trial, _, _ []*crop.Visit) { // as a program does that knows no notes
			if _, err := s.db.pools[0].Exec("UPDATE sites SET change = change + 1, digest = digest + 1"); err != nil {
				t.Fatal(err)
			}
		}},
		{"another session", 2, func(t *testing.T, s *Site, tr *trial, _, stored []*crop.Visit) {
			err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
				return ses.Add(t.Context(), crop.Visits, []crop.Record{&crop.Visit{ID: s.NewID(), PlantID: tr.plants[1].ID, CountedAt: crop.InstantMoment(testNow), Counts: map[string]int{"red": 1}}})
			})
			if err != nil {
				t.Fatal(err)
			}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, other := openBoth(t, time.Second)
			tr := newTrial(s, "spring", 2)
			mustApply(t, s, tr.base())
			all := tr.visits(s, 4)
			mustApply(t, s, all[:4])
			visits := make([]*crop.Visit, len(all))
			for i := range all {
				visits[i] = all[i].Record.(*crop.Visit)
			}
			stored, mine := visits[:4], visits[4:]
			calls := 0
			err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
				calls++
				like := *stored[0]
				like.ID = crop.ID{}
				if _, err := ses.Alike(t.Context(), crop.Visits, []crop.Record{&like}, nil, nil); err != nil {
					return err
				}
				if err := ses.Add(t.Context(), crop.Visits, []crop.Record{mine[0], mine[1]}); err != nil {
					return err
				}
				if !strings.HasPrefix(c.name, "a season") || calls == 1 {
					if err := ses.Apply(t.Context(), named(s, "summer")); err != nil {
						return err
					}
				}
				if calls == 1 {
					c.meanwhile(t, other, tr, mine, stored)
				}
				return nil
			})
			if err != nil || calls != c.calls {
				t.Errorf("%v after %d calls, want %d", err, calls, c.calls)
			}
			for _, v := range mine[:2] {
				if _, err := s.Get(t.Context(), crop.Visits, v.ID); err != nil {
					t.Error(err)
				}
			}
			wantForgotten(t, s)
			if c.name != "what wasn't noted" {
				wantSoundSite(t, s)
			}
		})
	}
}

// An edit of what others refer to rests on all that refers to it: a count that was added meanwhile must fit the plant's new first day.
func TestOvertakenEdit(t *testing.T) {
	s, other := openBoth(t, time.Second)
	tr := newTrial(s, "spring", 1)
	mustApply(t, s, tr.base())
	calls := 0
	err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		calls++
		p := *tr.plants[0]
		p.SownOn = &crop.Date{Year: 2026, Month: 2, Day: 1}
		err := ses.Apply(t.Context(), []crop.Change{{Record: &p}})
		if calls == 1 {
			mustApply(t, other, []crop.Change{{Record: &crop.Visit{ID: s.NewID(), PlantID: p.ID, Counts: map[string]int{"green": 1},
				CountedAt: crop.InstantMoment(time.Date(2026, 1, 10, 8, 0, 0, 0, time.UTC))}}})
		}
		return err
	})
	if calls != 2 || crop.CodeOf(err) != crop.Conflict {
		t.Errorf("%v after %d calls, want a conflict after two", err, calls)
	}
	if got, err := s.Get(t.Context(), crop.Plants, tr.plants[0].ID); err != nil || got.Version != 1 {
		t.Errorf("the plant is at version %d, %v; want it as it was", got.Version, err)
	}
	wantForgotten(t, s)
}

// A session that is overtaken time and again has the lock in the end.
func TestOvertakenAlways(t *testing.T) {
	s, other := openBoth(t, 50*time.Millisecond)
	spring := crop.Season{ID: s.NewID(), Name: "spring"}
	mustApply(t, s, []crop.Change{{Record: &spring}})
	calls := 0
	var refused error
	err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		calls++
		if err := ses.Apply(t.Context(), named(s, "mine")); err != nil {
			return err
		}
		spring.Name += "!"
		_, refused = other.Apply(t.Context(), []crop.Change{{Record: &spring}}, crop.ApplyOptions{})
		return nil
	})
	if err != nil || calls != freeTries+1 || crop.CodeOf(refused) != crop.Busy {
		t.Errorf("%v after %d calls, the last time others got %v; want %d calls, and others busy", err, calls, refused, freeTries+1)
	}
	c, err := other.Catalogue(t.Context())
	if err != nil || len(c.Seasons) != 2 || c.Seasons[1].Name != "spring!!!" {
		t.Errorf("seasons %+v, %v", c.Seasons, err)
	}
	wantForgotten(t, s)
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

// A heavy session takes triggers and indexes off and puts them on again, where there are few rows and where there are many.
func TestHeavySession(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "heavy", 100)
	mustApply(t, s, tr.base())
	all := recordsIn(tr.visits(s, 3*heavy/100), crop.Visits)
	was := objects(t, db)
	for _, part := range [][]crop.Record{all[:heavy], all[heavy : 2*heavy], all[2*heavy:]} {
		if err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error { return ses.Add(t.Context(), crop.Visits, part) }); err != nil {
			t.Fatal(err)
		}
		if is := objects(t, db); !slices.Equal(is, was) {
			t.Errorf("of the tables there is %v, was %v", is, was)
		}
	}
	// Every one of them replaced.
	err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		for part := range slices.Chunk(all[:2*heavy], 4096) {
			var changes []crop.Change
			for _, r := range part {
				v := *r.(*crop.Visit)
				v.Note = "again"
				changes = append(changes, crop.Change{Record: &v})
			}
			if err := ses.Apply(t.Context(), changes); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if is := objects(t, db); !slices.Equal(is, was) {
		t.Errorf("of the tables there is %v, was %v", is, was)
	}
	if n := countOf(t, s, crop.Visits); n != len(all) {
		t.Errorf("%d counts, want %d", n, len(all))
	}
	// What a trigger refuses is refused when it is kept aside.
	err = s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		_, err := ses.st.q.ExecContext(t.Context(), "INSERT INTO aside.visits (site_id, id, counts) VALUES (1, zeroblob(16), '{\"red\":-1}')")
		return translate(t.Context(), err)
	})
	if crop.CodeOf(err) != crop.Invalid {
		t.Errorf("a count below nothing: %v, want invalid", err)
	}
	wantSoundSite(t, s)
}

// objects are the definitions of tables, indexes and triggers, and the planner's statistics.
func objects(t *testing.T, db *DB) (all []string) {
	t.Helper()
	rows, err := db.pools[0].Query("SELECT type || ' ' || name || ' ' || coalesce(sql, '') FROM sqlite_schema UNION ALL SELECT tbl || idx || stat FROM sqlite_stat1")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var text sql.NullString
		if err := rows.Scan(&text); err != nil {
			t.Fatal(err)
		}
		all = append(all, text.String)
	}
	slices.Sort(all)
	return all
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
