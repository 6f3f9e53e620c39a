package storagetest

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/storage"
)

// bump adds one to a count through read, change, write, and starts over when another was faster. It signs the count, for
// two writers that send the same contents would be taken for one that sends them twice.
func bump(ctx context.Context, s Store, id crop.ID, signature string) error {
	for {
		now, err := s.Get(ctx, crop.Visits, id)
		if err != nil {
			return err
		}
		v := now.Record.(*crop.Visit)
		v.Counts["green"]++
		v.Observer = signature
		_, err = s.Apply(ctx, []crop.Change{based(v, now.Version)}, crop.ApplyOptions{})
		if crop.CodeOf(err) != crop.Stale {
			return err
		}
	}
}

func writeTogether(t *testing.T, stores []Store, f *farm, each int) {
	t.Helper()
	visit := f.newVisit("2026-05-01", 0)
	f.put(visit)
	start := f.change()
	var group sync.WaitGroup
	for w, s := range stores {
		group.Go(func() {
			for i := range each {
				if err := bump(f.ctx, s, visit.ID, fmt.Sprint(w, " ", i)); err != nil {
					t.Errorf("writer %d: %v", w, err)
					return
				}
				own := f.newVisit("2026-05-02", i)
				if _, err := s.Apply(f.ctx, puts(own), crop.ApplyOptions{Actor: fmt.Sprint(w)}); err != nil {
					t.Errorf("writer %d: %v", w, err)
					return
				}
				// A reader sees a whole state: as many counts as changes.
				trial, err := s.LoadSeason(f.ctx, f.season.ID, storage.Selection{})
				if err != nil {
					t.Errorf("reader %d: %v", w, err)
					return
				}
				sum := 0
				for _, v := range trial.Visits {
					if v.ID == visit.ID {
						sum = v.Counts["green"]
					}
				}
				if got, want := trial.Change-start, int64(sum+len(trial.Visits)-1); got != want {
					t.Errorf("reader %d saw change %d with %d writes in it", w, got, want)
				}
			}
		})
	}
	group.Wait()
	want := len(stores) * each
	if got := f.get(crop.Visits, visit.ID); got.Record.(*crop.Visit).Counts["green"] != want || got.Version != int64(want+1) {
		t.Errorf("after %d bumps the count is %s, version %d", want, text(got.Record), got.Version)
	}
	if all := walk(f, crop.Visits, crop.Filter{Limit: 500}, func() {}); len(all) != want+1 {
		t.Errorf("%d counts, want %d", len(all), want+1)
	}
	if h := f.history(visit); len(h) != want+1 {
		t.Errorf("%d versions, want %d", len(h), want+1)
	}
}

func testManyWriters(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	writeTogether(t, []Store{f.store, f.store, f.store, f.store, f.store, f.store}, f, 15)
}

func testTwoHandles(t *testing.T, open func(Options) Database) {
	one := open(Options{})
	two := open(Options{Name: one.Name})
	f := farmOn(t, t.Context(), one.Store)
	writeTogether(t, []Store{one.Store, two.Store, one.Store, two.Store}, f, 15)
}

func testCancelled(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	v := f.newVisit("2026-05-01", 1)
	if _, err := f.store.Apply(ctx, puts(v), crop.ApplyOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("apply: %v", err)
	}
	if _, err := f.store.List(ctx, crop.Visits, crop.Filter{}); !errors.Is(err, context.Canceled) {
		t.Errorf("list: %v", err)
	}
	wantEffects(t, f.put(v), crop.Created) // and the next one is served
}

func testLargeBatch(t *testing.T, open func(Options) Database) {
	f := newFarm(t, open)
	var all []crop.Record
	for p := range 40 {
		plant := f.newPlant(fmt.Sprintf("L%02d", p))
		all = append(all, plant)
		for i := range 50 {
			v := f.newVisit("2026-05-01", i)
			v.PlantID = plant.ID
			all = append(all, v)
		}
	}
	for _, o := range f.put(all...) {
		if o.Effect != crop.Created {
			t.Fatalf("%s", o.Effect)
		}
	}
	for _, o := range f.put(all...) {
		if o.Effect != crop.Unchanged {
			t.Fatalf("sent again: %s", o.Effect)
		}
	}
	for _, r := range all {
		switch r := r.(type) {
		case *crop.Plant:
			r.Note = "edited"
		case *crop.Visit:
			r.Counts["green"]++
		}
	}
	f.put(all...)
	trial, err := f.store.LoadSeason(f.ctx, f.season.ID, storage.Selection{})
	if err != nil || len(trial.Visits) != 2000 || len(trial.Plants) != 41 {
		t.Fatalf("season of %d counts and %d plants, %v", len(trial.Visits), len(trial.Plants), err)
	}
	for _, i := range []int{0, 1, 777, len(all) - 1} {
		s := f.get(all[i].RecordKind(), all[i].Identity())
		if s.Version != 2 {
			t.Errorf("version %d, want 2", s.Version)
		}
		wantSame(t, s.Record, all[i])
	}
}
