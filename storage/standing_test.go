package storage

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

func newCount(s *Site, p *crop.Plant, day int) crop.Change {
	return crop.Change{Base: new(int64(0)), Record: &crop.Visit{ID: s.NewID(), PlantID: p.ID, Counts: map[string]int{"red": 1},
		CountedAt: crop.InstantMoment(time.Date(2026, 1, day, 8, 0, 0, 0, time.UTC))}}
}

func apply(s *Site, changes ...crop.Change) error {
	_, err := s.Apply(context.Background(), changes, crop.ApplyOptions{})
	return err
}

func wantCode(t *testing.T, what string, err error, want crop.Code) {
	t.Helper()
	if crop.CodeOf(err) != want || want == "" && err != nil {
		t.Errorf("%s: %v, want code %q", what, err, want)
	}
}

// TestStandingOfOthers: what another program changes is seen by the next write, though this one has loaded it before.
func TestStandingOfOthers(t *testing.T) {
	path := filepath.Join(t.TempDir(), "two.db")
	sites := make([]*Site, 2)
	for i := range sites {
		db, err := Open(t.Context(), path, Options{Now: func() time.Time { return testNow }})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { db.Close() })
		sites[i] = db.Site()
	}
	one, other := sites[0], sites[1]
	tr := newTrial(one, "two", 2)
	mustApply(t, one, tr.base())
	p := tr.plants[0]
	wantCode(t, "a count", apply(one, newCount(one, p, 5)), "")
	if one.db.standing.get(link{crop.Plants, p.ID}) == nil {
		t.Fatal("the plant isn't kept, so this test says nothing")
	}
	later := *tr.plants[1]
	later.SownOn = &crop.Date{Year: 2026, Month: 1, Day: 20}
	mustApply(t, other, []crop.Change{{Record: &later}})
	wantCode(t, "a count before the day that the other program wrote", apply(one, newCount(one, &later, 6)), crop.Invalid)
	scale := &crop.Scale{ID: other.NewID(), Name: "other", Stages: []crop.Stage{{Name: "hard"}, {Name: "soft"}}, RipeStage: "soft"}
	cultivar := &crop.Cultivar{ID: tr.cultivar.ID, Name: "two", ScaleID: &scale.ID}
	mustApply(t, other, []crop.Change{{Record: &later, Delete: true}})
	wantCode(t, "a count of a plant that the other program deleted", apply(one, newCount(one, &later, 25)), crop.Invalid)
	plant := *p
	plant.CultivarID, plant.ID, plant.Label = other.NewID(), other.NewID(), "new"
	cultivar.ID, cultivar.Name = plant.CultivarID, "new"
	mustApply(t, other, []crop.Change{{Record: scale}, {Record: cultivar}, {Record: &plant}})
	wantCode(t, "a stage that the scale of the other program hasn't", apply(one, newCount(one, &plant, 7)), crop.Invalid)
}

// TestStandingOfOwn: a batch's own changes of what others refer to are seen by the next, in the same transaction or not, and
// those that were undone are not.
func TestStandingOfOwn(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "own", 1)
	mustApply(t, s, tr.base())
	p := *tr.plants[0]
	sown := func(day int) crop.Change {
		q := p
		q.SownOn = &crop.Date{Year: 2026, Month: 1, Day: day}
		return crop.Change{Record: &q}
	}
	wantCode(t, "a count after the sowing", apply(s, newCount(s, &p, 2)), "")
	wantCode(t, "a sowing after the count", apply(s, sown(3)), crop.Conflict)
	wantCode(t, "a count on the day after the sowing, which stands", apply(s, newCount(s, &p, 2)), "")
	undone := errors.New("undone")
	for name, run := range map[string]func(func(ctx context.Context, q gorm.ConnPool) error) error{
		"alone": func(f func(ctx context.Context, q gorm.ConnPool) error) error {
			return db.site.alone(&job{ctx: t.Context(), run: f})
		},
		"large": func(f func(ctx context.Context, q gorm.ConnPool) error) error {
			return db.site.writeGrouped(t.Context(), true, f)
		},
	} {
		err := run(func(ctx context.Context, q gorm.ConnPool) error {
			b := &batch{ctx: ctx, site: s.id, q: q, changes: []crop.Change{sown(1)}, now: s.now(), o: crop.ApplyOptions{},
				entries: map[link]*entry{}, refs: newRefs(s.id), answers: make([]answer, 1)}
			earlier := sown(1)
			earlier.Record.(*crop.Plant).Note = name
			b.changes[0] = earlier
			change, err := b.open(&db.standing)
			if err != nil {
				t.Fatal(err)
			}
			if err := b.run(); err != nil {
				t.Fatal(err)
			}
			if err := b.count(&db.standing); err != nil {
				t.Fatal(err)
			}
			if db.standing.change != change+1 {
				t.Errorf("%s: at change %d, want %d", name, db.standing.change, change+1)
			}
			return undone
		})
		if !errors.Is(err, undone) {
			t.Fatal(err)
		}
		if db.standing.change != -1 || len(db.standing.known) != 0 {
			t.Errorf("%s: what was undone is kept, at change %d", name, db.standing.change)
		}
		wantCode(t, "a count", apply(s, newCount(s, &p, 4)), "")
	}
}

// TestOneCountIsFewStatements: a new count of a plant known from before takes two statements, whatever there is, and its evidence
// none.
func TestOneCountIsFewStatements(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "few", 30)
	mustApply(t, s, tr.base())
	mustApply(t, s, tr.visits(s, 10))
	post := func(day int) *witness {
		by := &witness{plants: []crop.ID{tr.plants[3].ID}}
		if _, err := s.Apply(t.Context(), []crop.Change{newCount(s, tr.plants[3], day)}, crop.ApplyOptions{Witness: by}); err != nil {
			t.Fatal(err)
		}
		return by
	}
	post(5)
	var w watch
	w.on(db)
	by := post(6)
	if got := w.take(); len(got) != 2 {
		t.Errorf("%d statements, want the change number's and the insert: %v", len(got), got)
	}
	if n := len(by.evidence[0].Visits); n != 12 {
		t.Errorf("the evidence is %d counts, want 12", n)
	}
}

// witness is a crop.Witness for tests.
type witness struct {
	plants   []crop.ID
	written  []crop.Outcome
	evidence []*crop.Trial
	err      error
	asked    int
	panics   bool
}

func (w *witness) Plants([]crop.Outcome) []crop.ID {
	w.asked++
	return w.plants
}

func (w *witness) Consider(written []crop.Outcome, evidence []*crop.Trial, err error) {
	if w.panics {
		panic("what it saw")
	}
	w.written, w.evidence, w.err = written, evidence, err
}

// TestWitness: it sees what is written among the records of the plant, before the answer; it is not asked about what is
// refused or only tried.
func TestWitness(t *testing.T) {
	s := openTest(t).Site()
	tr := newTrial(s, "seen", 2)
	mustApply(t, s, tr.base())
	mustApply(t, s, tr.visits(s, 3))
	for _, c := range []struct {
		name string
		day  int
		dry  bool
		want int // counts among the evidence
	}{
		{"stored", 5, false, 4}, {"stored again", 6, false, 5}, {"refused", 0, false, 0}, {"tried", 7, true, 0},
	} {
		w := &witness{plants: []crop.ID{tr.plants[1].ID}}
		change := newCount(s, tr.plants[1], c.day)
		out, err := s.Apply(t.Context(), []crop.Change{change}, crop.ApplyOptions{Witness: w, DryRun: c.dry})
		if c.want == 0 {
			if w.asked > 0 {
				t.Errorf("%s: it was asked", c.name)
			}
			continue
		}
		if err != nil || w.err != nil {
			t.Fatal(err, w.err)
		}
		if len(w.written) != 1 || w.written[0].Record != out[0].Record {
			t.Errorf("%s: it was shown %v, want the answer", c.name, w.written)
		}
		small, err := s.LoadEvidence(t.Context(), tr.plants[1].ID)
		if err != nil {
			t.Fatal(err)
		}
		got := w.evidence[0]
		if len(got.Visits) != c.want || len(small.Visits) != c.want || got.Visits[0].ID != change.Record.Identity() && c.day == 5 {
			t.Errorf("%s: %d counts, want %d with the new one first; a load has %d", c.name, len(got.Visits), c.want, len(small.Visits))
		}
		if p, ok := got.Plant(tr.plants[1].ID); !ok || len(got.Places) != 1 || len(got.Scales) != 1 || len(got.Cultivars) != 1 || p.Label == "" {
			t.Errorf("%s: the evidence lacks what names it: %+v", c.name, got)
		}
	}
	w := &witness{plants: []crop.ID{s.NewID()}}
	if err := func() error {
		_, err := s.Apply(t.Context(), []crop.Change{newCount(s, tr.plants[0], 9)}, crop.ApplyOptions{Witness: w})
		return err
	}(); err != nil || crop.CodeOf(w.err) != crop.NotFound || w.evidence != nil {
		t.Errorf("stored: %v; a plant that isn't there: %v with %v", err, w.err, w.evidence)
	}
	defer func() {
		if v := recover(); v == nil || !strings.Contains(v.(string), "what it saw") {
			t.Errorf("recovered %v, want the witness's panic", v)
		}
	}()
	w = &witness{plants: []crop.ID{tr.plants[0].ID}, panics: true}
	_, _ = s.Apply(t.Context(), []crop.Change{newCount(s, tr.plants[0], 10)}, crop.ApplyOptions{Witness: w})
	t.Error("the panic got lost")
}
