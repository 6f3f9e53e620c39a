package storage

import (
	"errors"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// TestSnapshot: everything read through a view is of one state, whatever is written meanwhile, and it isn't written.
func TestSnapshot(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "snapshot", 3)
	mustApply(t, s, tr.base())
	mustApply(t, s, tr.visits(s, 2))
	ctx := t.Context()
	// what is there: seasons, visits of the season, a page of visits, readings, the change number
	look := func(v *Site) (found [5]int) {
		c, err := v.Catalogue(ctx)
		if err != nil {
			t.Fatal(err)
		}
		trial, err := v.LoadSeason(ctx, tr.season.ID, Selection{})
		if err != nil {
			t.Fatal(err)
		}
		page, err := v.List(ctx, crop.Visits, crop.Filter{Limit: maxLimit})
		if err != nil {
			t.Fatal(err)
		}
		readings, err := v.Temperatures(ctx, tr.place.ID, time.Time{}, testNow)
		if err != nil {
			t.Fatal(err)
		}
		return [5]int{len(c.Seasons), len(trial.Visits), len(page.Items), len(readings), int(c.Change)}
	}
	before := look(s)
	if want := [5]int{1, 6, 6, 0, 2}; before != want {
		t.Fatalf("there are %v, want %v", before, want)
	}
	err := s.Snapshot(ctx, func(view *Site) error {
		mustApply(t, s, tr.rest(s))
		mustApply(t, s, named(s, "another"))
		mustApply(t, s, tr.visits(s, 1))
		if got := look(view); got != before {
			t.Errorf("the view has %v, want %v", got, before)
		}
		if got, want := look(s), [5]int{2, 9, 9, 100, 5}; got != want {
			t.Errorf("beside the view there are %v, want %v", got, want)
		}
		for _, changes := range [][]crop.Change{named(view, "small"), append(tr.visits(s, groupable), named(view, "large")...)} {
			if _, err := view.Apply(ctx, changes, crop.ApplyOptions{}); !errors.Is(err, errView) {
				t.Errorf("writing through the view: %v, want %v", err, errView)
			}
		}
		return errors.New("what f returns")
	})
	if err == nil || err.Error() != "what f returns" {
		t.Errorf("got %v, want what f returns", err)
	}
}
