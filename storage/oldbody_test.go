package storage

import (
	"path/filepath"
	"testing"

	"vinetally/analytics/crop"
)

// TestOldBodyWithoutABase: what was stored before and comes again reverts nothing, though no base is named, also when what
// it refers to is gone; and it can be gone back to by naming the current version.
func TestOldBodyWithoutABase(t *testing.T) {
	ctx := t.Context()
	db, err := Open(ctx, filepath.Join(t.TempDir(), "old.db"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	s := db.Site()
	id := s.NewID()
	scale := &crop.Scale{ID: s.NewID(), Name: "two", RipeStage: "b", Stages: []crop.Stage{{Name: "a"}, {Name: "b"}}}
	named := func(name string, scale *crop.ID) *crop.Cultivar {
		return &crop.Cultivar{ID: id, Name: name, ScaleID: scale}
	}
	step := func(what string, want crop.Effect, version int64, o crop.ApplyOptions, c ...crop.Change) {
		t.Helper()
		out, err := s.Apply(ctx, c, o)
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		if last := out[len(out)-1]; last.Effect != want || last.Version != version {
			t.Errorf("%s: got %s, version %d; want %s, %d", what, last.Effect, last.Version, want, version)
		}
	}
	none := crop.ApplyOptions{}
	first := named(" one", &scale.ID)
	step("first", crop.Created, 1, none, crop.Change{Record: scale}, crop.Change{Record: first})
	step("same", crop.Unchanged, 1, none, crop.Change{Record: first})
	step("second", crop.Replaced, 2, none, crop.Change{Record: named("two", nil)})
	step("first again", crop.Unchanged, 2, none, crop.Change{Record: first})
	step("scale goes", crop.Removed, 2, none, crop.Change{Record: scale, Delete: true})
	step("first again, its scale gone", crop.Unchanged, 2, none, crop.Change{Record: first})
	step("second again", crop.Unchanged, 2, none, crop.Change{Record: named("two", nil)})
	step("third, second and third at once", crop.Unchanged, 3, none, crop.Change{Record: named("three", nil)},
		crop.Change{Record: named("two", nil)}, crop.Change{Record: named("three", nil)})
	step("back to second on purpose", crop.Replaced, 4, none, crop.Change{Record: named("two", nil), Base: new(int64(3))})

	c, err := s.Catalogue(ctx)
	if err != nil {
		t.Fatal(err)
	}
	step("back to third in a batch made from this state", crop.Replaced, 5, crop.ApplyOptions{IfChange: &c.Change}, crop.Change{Record: named("three", nil)})
	step("deleted", crop.Removed, 6, none, crop.Change{Record: named("", nil), Delete: true})
	step("third again after the deletion", crop.Unchanged, 6, none, crop.Change{Record: named("three", nil)})
	step("new contents after the deletion", crop.Created, 7, none, crop.Change{Record: named("four", nil)})
}
