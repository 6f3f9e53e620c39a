package storage

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// recordsIn are the records of changes.
func recordsIn(changes []crop.Change, kind crop.Kind) (records []crop.Record) {
	for _, c := range changes {
		if c.Record.RecordKind() == kind {
			records = append(records, c.Record)
		}
	}
	return records
}

func countOf(t *testing.T, s *Site, kind crop.Kind) int {
	t.Helper()
	n := 0
	for f := (crop.Filter{Limit: maxLimit}); ; {
		page, err := s.List(t.Context(), kind, f)
		if err != nil {
			t.Fatal(err)
		}
		if n += len(page.Items); page.Next == "" {
			return n
		}
		f.Cursor = page.Next
	}
}

// What a session writes in several steps is there all at once, counted as one change, or not at all.
func TestSessionIsAllOrNothing(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "session", 20)
	visits, rest := tr.visits(s, 100), tr.rest(s)
	all := func(ses *Session) error {
		ctx := t.Context()
		if ses.Had(crop.Visits) {
			t.Error("had counts before there were any")
		}
		if err := ses.Apply(ctx, tr.base()); err != nil {
			return err
		}
		plants, err := ses.Plants(ctx, tr.season.ID)
		if err != nil || len(plants) != 20 || len(plants[0].Moves) != 1 {
			t.Errorf("the session doesn't see its own plants with their moves: %d, %v", len(plants), err)
		}
		for kind, records := range map[crop.Kind][]crop.Record{
			crop.Visits: recordsIn(visits, crop.Visits), crop.Pickings: recordsIn(rest, crop.Pickings), crop.Losses: recordsIn(rest, crop.Losses),
			crop.Diary: recordsIn(rest, crop.Diary), crop.Temperatures: recordsIn(rest, crop.Temperatures),
			crop.Germinations: {&crop.Germination{ID: s.NewID(), SeasonID: tr.season.ID, CultivarID: tr.cultivar.ID, Lot: "l",
				SownOn: &crop.Date{Year: 2026, Month: 1, Day: 1}, Seeds: new(9), CountedOn: &crop.Date{Year: 2026, Month: 1, Day: 9}, Emerged: new(8)}},
		} {
			if err := ses.Add(ctx, kind, records); err != nil {
				return err
			}
		}
		if n := countOf(t, s, crop.Visits); n != 0 {
			t.Errorf("others see %d counts before the end", n)
		}
		return nil
	}
	failed := errors.New("failed")
	for _, c := range []struct {
		name   string
		o      crop.ApplyOptions
		err    error
		change int64
		visits int
	}{
		{"failed", crop.ApplyOptions{}, failed, 0, 0},
		{"dry run", crop.ApplyOptions{DryRun: true}, nil, 0, 0},
		{"done", crop.ApplyOptions{Actor: "Ada"}, nil, 1, 2000},
	} {
		before, err := s.Catalogue(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		err = s.Session(t.Context(), c.o, func(ses *Session) error { return errors.Join(all(ses), c.err) })
		if (c.err == nil) != (err == nil) || c.err != nil && !errors.Is(err, c.err) {
			t.Fatalf("%s: got %v, want %v", c.name, err, c.err)
		}
		after, err := s.Catalogue(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if got := after.Change - before.Change; got != c.change {
			t.Errorf("%s: the change number grew by %d, want %d", c.name, got, c.change)
		}
		if n := countOf(t, s, crop.Visits); n != c.visits {
			t.Errorf("%s: got %d counts, want %d", c.name, n, c.visits)
		}
	}
	if wrong, _, err := db.WrongDigests(t.Context()); err != nil || len(wrong) > 0 {
		t.Errorf("wrong digests: %v, %v", wrong, err)
	}
	// What was added is what Apply would have stored.
	for _, c := range slices.Concat(visits, rest) {
		c.Base = nil
		if out := mustApply(t, s, []crop.Change{c}); out[0].Effect != crop.Unchanged || out[0].Actor != "Ada" || out[0].Version != 1 {
			t.Fatalf("%+v: got %s, version %d by %q; want it unchanged, version 1 by Ada", c.Record, out[0].Effect, out[0].Version, out[0].Actor)
		}
	}
}

func TestSessionTellsFaults(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "faults", 1)
	mustApply(t, s, tr.base())
	visits := recordsIn(tr.visits(s, 3), crop.Visits)
	visits[1].(*crop.Visit).Counts["red"] = -1
	stranger := tr.plants[0].ID
	stranger[0]++
	visits[2].(*crop.Visit).PlantID = stranger
	err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error { return ses.Add(t.Context(), crop.Visits, visits) })
	refused, ok := errors.AsType[*crop.Error](err)
	if !ok || len(refused.Faults) != 2 || refused.Faults[0].Item != 1 || refused.Faults[0].Pointer != "/counts/red" || refused.Faults[1].Pointer != "/plant_id" {
		t.Errorf("got %v, want the faults of items 1 and 2", err)
	}
	if n := countOf(t, s, crop.Visits); n != 0 {
		t.Errorf("%d counts are there", n)
	}
	if err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error { return ses.Add(t.Context(), crop.Plants, recordsIn(tr.base(), crop.Plants)) }); err == nil {
		t.Error("plants were added, which others refer to")
	}
}

// Alike finds by plant (place, season, unit) and time through an index.
func TestAlike(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "alike", 3)
	mustApply(t, s, tr.base())
	day := crop.DayMoment(crop.Date{Year: 2026, Month: 4, Day: 2}, time.UTC)
	noon := crop.InstantMoment(time.Date(2026, 4, 2, 11, 0, 0, 0, time.UTC)) // in Lisbon
	unit := crop.Unit{SeasonID: &tr.season.ID, PlaceID: &tr.place.ID, CultivarID: &tr.cultivar.ID}
	more := []crop.Record{
		&crop.Visit{ID: s.NewID(), PlantID: tr.plants[0].ID, CountedAt: day, Counts: map[string]int{"red": 1}},
		&crop.Picking{ID: s.NewID(), Unit: unit, PickedAt: noon, Fruits: new(2)},
		&crop.Loss{ID: s.NewID(), Unit: unit, LostAt: noon, Stage: "red", Fruits: new(1), Cause: crop.Dropped},
		&crop.DiaryEntry{ID: s.NewID(), SeasonID: tr.season.ID, NotedAt: noon, Kind: "cleaned"},
		&crop.Germination{ID: s.NewID(), SeasonID: tr.season.ID, CultivarID: tr.cultivar.ID, SownOn: &crop.Date{Year: 2026, Month: 1, Day: 1},
			Seeds: new(9), CountedOn: &crop.Date{Year: 2026, Month: 1, Day: 9}, Emerged: new(8)},
	}
	stored := slices.Concat(tr.visits(s, 3), tr.rest(s))
	for _, r := range more {
		stored = append(stored, crop.Change{Record: r})
	}
	mustApply(t, s, stored)
	var w watch
	err := s.Session(t.Context(), crop.ApplyOptions{DryRun: true}, func(ses *Session) error {
		ses.st.q = &watchedPool{ConnPool: ses.st.q, w: &w}
		for _, c := range stored {
			r := clone(c.Record)
			r.SetIdentity(s.NewID())
			found, err := ses.Alike(t.Context(), r.RecordKind(), []crop.Record{r, clone(r)}, nil, nil)
			if err != nil {
				return err
			}
			if len(found) != 1 || found[0].Identity() != c.Record.Identity() {
				t.Errorf("%T %+v: found %v", r, r, found)
			}
			if found, err = ses.Alike(t.Context(), r.RecordKind(), nil, nil, []crop.ID{c.Record.Identity(), r.Identity()}); err != nil || len(found) != 1 {
				t.Errorf("by id: found %v, %v", found, err)
			}
		}
		atNoon := &crop.Visit{PlantID: tr.plants[0].ID, CountedAt: noon}
		other := &crop.Visit{PlantID: tr.plants[1].ID, CountedAt: noon}
		found, err := ses.Alike(t.Context(), crop.Visits, []crop.Record{atNoon, other}, nil, nil)
		if err != nil || len(found) != 1 || found[0].(*crop.Visit).CountedAt.TimeKnown() {
			t.Errorf("at noon: found %v, %v; want the count of that day alone, which stands there", found, err)
		}
		for _, st := range w.take() {
			if !strings.HasPrefix(st.query, "SELECT t.") {
				continue
			}
			plan, err := planOver(t, ses.st.conn, st)
			if err != nil {
				return err
			}
			for _, step := range plan {
				if wholeSite.MatchString(step) && !small.MatchString(step) {
					t.Errorf("plan goes through the whole site: %s\nin %s", step, st.query)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// The values of a row, listed by hand, are those that gorm's layout finds by reflection.
func TestInsertedValues(t *testing.T) {
	for _, kind := range crop.Kinds() {
		tab := tables[kind]
		made, err := tab.toRow(recordOf(kind))
		if err != nil {
			t.Fatal(err)
		}
		row, ok := made.(inserted)
		if !ok {
			if len(referrers[kind]) == 0 && kind != crop.Scales {
				t.Errorf("%s can't be added", kind)
			}
			continue
		}
		check := func() {
			t.Helper()
			want, got := tab.written.appendValues(nil, made), row.values(nil)
			if len(got) != len(want) {
				t.Fatalf("%s: %d values, want %d", kind, len(got), len(want))
			}
			for i := range want {
				if w, g := driverValue(t, want[i]), driverValue(t, got[i]); w != g {
					t.Errorf("%s.%s: got %v, want %v", kind, tab.written.columns[i], g, w)
				}
			}
		}
		check()
		fill(made, tab.written)
		check()
	}
}
