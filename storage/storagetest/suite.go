// Package storagetest is what every database under package storage must do, as one suite of tests.
package storagetest

import (
	"context"
	"encoding/json"
	"slices"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/storage"
)

// Store is what the suite needs of a site.
type Store interface {
	Apply(context.Context, []crop.Change, crop.ApplyOptions) ([]crop.Outcome, error)
	Get(context.Context, crop.Kind, crop.ID) (crop.Stored, error)
	List(context.Context, crop.Kind, crop.Filter) (crop.Page, error)
	History(context.Context, crop.Kind, crop.ID) ([]crop.Stored, error)
	Catalogue(context.Context) (*crop.Catalogue, error)
	LoadSeason(context.Context, crop.ID, storage.Selection) (*crop.Trial, error)
	LoadPlant(context.Context, crop.ID, storage.Selection) (*crop.Trial, error)
	Temperatures(ctx context.Context, place crop.ID, from, to time.Time) ([]crop.Temperature, error)
	NewID() crop.ID
}

// Options say which database to open.
type Options struct {
	// Name is that of a database opened before; empty makes a new, empty one.
	Name string
	// Now is the clock it takes.
	Now func() time.Time
}

// Database is an open database. The opener closes it when the test ends, unless Close has been called.
type Database struct {
	Name  string
	Store Store
	Ping  func(context.Context) error
	Close func() error
}

// TB is what a test or a benchmark or a property offers the suite's helpers.
type TB interface {
	Helper()
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// Run runs the suite.
func Run(t *testing.T, open func(*testing.T, Options) Database) {
	for _, c := range []struct {
		name string
		test func(*testing.T, func(Options) Database)
	}{
		{"round trip", testRoundTrip}, {"shipped scales", testShipped}, {"open again", testOpenAgain},
		{"versions", testVersions}, {"deletion", testDeletion}, {"stale", testStale}, {"sync repeated", testSyncRepeated},
		{"one record several times", testChain}, {"any order", testAnyOrder}, {"all or nothing", testAtomic},
		{"dry run", testDryRun}, {"change number", testChangeNumber}, {"input untouched", testInputUntouched},
		{"unique", testUnique}, {"names swapped", testSwap}, {"referred to", testReferredTo}, {"in use", testInUse},
		{"edits that break", testBreakingEdits}, {"origins", testOrigins},
		{"zone of a place", testZone}, {"moved plant", testMovedPlant},
		{"lists", testLists}, {"filters", testFilters}, {"bounds", testBounds}, {"list while it grows", testGrowingList}, {"bad lists", testBadLists},
		{"season", testSeason}, {"plant", testPlant}, {"readings", testReadings},
		{"many writers", testManyWriters}, {"two handles", testTwoHandles}, {"cancelled", testCancelled},
		{"large batch", testLargeBatch}, {"model", testModel},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.test(t, func(o Options) Database {
				t.Helper()
				if o.Now == nil {
					o.Now = func() time.Time { return Now }
				}
				return open(t, o)
			})
		})
	}
}

// Now is the present of the suite.
var Now = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)

// farm is a database with one of everything that events refer to.
type farm struct {
	tb       TB
	ctx      context.Context
	store    Store
	season   *crop.Season
	place    *crop.Place // in Lisbon
	cultivar *crop.Cultivar
	plant    *crop.Plant // sown on 1 March
}

func newFarm(t *testing.T, open func(Options) Database) *farm {
	t.Helper()
	return farmOn(t, t.Context(), open(Options{}).Store)
}

func farmOn(tb TB, ctx context.Context, store Store) *farm {
	tb.Helper()
	f := &farm{tb: tb, ctx: ctx, store: store}
	f.season = &crop.Season{ID: store.NewID(), Name: "spring"}
	f.place = &crop.Place{ID: store.NewID(), Name: "bench", TimeZone: "Europe/Lisbon"}
	f.cultivar = &crop.Cultivar{ID: store.NewID(), Name: "Pebble"}
	f.plant = f.newPlant("A1")
	f.put(f.season, f.place, f.cultivar, f.plant)
	return f
}

func (f *farm) newPlant(label string) *crop.Plant {
	return &crop.Plant{ID: f.store.NewID(), SeasonID: f.season.ID, PlaceID: f.place.ID, CultivarID: f.cultivar.ID, Label: label,
		SownOn: date("2026-03-01"), Moves: []crop.Move{}}
}

func (f *farm) newVisit(at string, green int) *crop.Visit {
	return &crop.Visit{ID: f.store.NewID(), PlantID: f.plant.ID, CountedAt: moment(at), Counts: map[string]int{"green": green}}
}

// put stores records and returns the outcomes.
func (f *farm) put(records ...crop.Record) []crop.Outcome {
	f.tb.Helper()
	return f.apply(puts(records...)...)
}

func (f *farm) apply(changes ...crop.Change) []crop.Outcome {
	f.tb.Helper()
	out, err := f.store.Apply(f.ctx, changes, crop.ApplyOptions{Actor: "tester"})
	if err != nil {
		f.tb.Fatalf("apply: %v", err)
	}
	if len(out) != len(changes) {
		f.tb.Fatalf("apply answered %d of %d changes", len(out), len(changes))
	}
	return out
}

// refused applies changes that must be refused and returns why.
func (f *farm) refused(want crop.Code, changes ...crop.Change) *crop.Error {
	f.tb.Helper()
	before := f.change()
	_, err := f.store.Apply(f.ctx, changes, crop.ApplyOptions{Actor: "tester"})
	if got := crop.CodeOf(err); got != want {
		f.tb.Fatalf("apply: code %q (%v), want %q", got, err, want)
	}
	if after := f.change(); after != before {
		f.tb.Errorf("a refused batch moved the change number from %d to %d", before, after)
	}
	return asError(f.tb, err)
}

func (f *farm) get(kind crop.Kind, id crop.ID) crop.Stored {
	f.tb.Helper()
	s, err := f.store.Get(f.ctx, kind, id)
	if err != nil {
		f.tb.Fatalf("get %s %s: %v", kind, id, err)
	}
	return s
}

func (f *farm) history(r crop.Record) []crop.Stored {
	f.tb.Helper()
	h, err := f.store.History(f.ctx, r.RecordKind(), r.Identity())
	if err != nil {
		f.tb.Fatalf("history: %v", err)
	}
	return h
}

func (f *farm) change() int64 {
	f.tb.Helper()
	c, err := f.store.Catalogue(f.ctx)
	if err != nil {
		f.tb.Fatalf("catalogue: %v", err)
	}
	return c.Change
}

func puts(records ...crop.Record) []crop.Change {
	changes := make([]crop.Change, len(records))
	for i, r := range records {
		changes[i].Record = r
	}
	return changes
}

func based(r crop.Record, base int64) crop.Change { return crop.Change{Record: r, Base: &base} }
func removal(r crop.Record) crop.Change           { return crop.Change{Record: r, Delete: true} }

func removalOf(r crop.Record, base int64) crop.Change {
	return crop.Change{Record: r, Delete: true, Base: &base}
}

func effects(out []crop.Outcome) []crop.Effect {
	all := make([]crop.Effect, len(out))
	for i := range out {
		all[i] = out[i].Effect
	}
	return all
}

func wantEffects(tb TB, out []crop.Outcome, want ...crop.Effect) {
	tb.Helper()
	if got := effects(out); !slices.Equal(got, want) {
		tb.Errorf("effects: got %v, want %v", got, want)
	}
}

func wantSame(tb TB, got, want crop.Record) {
	tb.Helper()
	if g, w := text(got), text(want); g != w {
		tb.Errorf("record:\n got %s\nwant %s", g, w)
	}
}

func text(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

func date(s string) *crop.Date {
	d, err := crop.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return &d
}

// moment reads a moment; an instant is shown in Lisbon's time, as the farm's place would.
func moment(s string) crop.Moment {
	m, err := crop.ParseMoment(s)
	if err != nil {
		panic(err)
	}
	return m.In(lisbon)
}

var lisbon = func() *time.Location {
	loc, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		panic(err)
	}
	return loc
}()
