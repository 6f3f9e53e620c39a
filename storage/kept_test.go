package storage

import (
	"reflect"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestKeptSeason: a season that is loaded again is the same and shares nothing with the one before; any change is seen.
func TestKeptSeason(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	tr := newTrial(s, "kept", 9)
	mustApply(t, s, tr.base())
	mustApply(t, s, tr.visits(s, 4))
	mustApply(t, s, tr.rest(s))
	load := func() *crop.Trial {
		t.Helper()
		got, err := s.LoadSeason(t.Context(), tr.season.ID, Selection{Temperatures: true})
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	first := load()
	var w watch
	w.on(db)
	second := load()
	for _, st := range w.take() {
		if strings.Contains(st.query, "visits") {
			t.Errorf("counts are read again: %s", st.query)
		}
	}
	if !reflect.DeepEqual(first, second) {
		t.Error("the second load differs")
	}
	for i := range second.Visits {
		v := &second.Visits[i]
		v.Counts["red"], v.Observer = 999, "somebody else"
	}
	if third := load(); !reflect.DeepEqual(first, third) {
		t.Error("what a caller changed is in the next load")
	}
	mustApply(t, s, []crop.Change{newCount(s, tr.plants[2], 7)})
	if now := load(); len(now.Visits) != len(first.Visits)+1 || now.Change != first.Change+1 {
		t.Errorf("%d counts at change %d, want one more and the next", len(now.Visits), now.Change)
	}
	mustApply(t, s, []crop.Change{{Record: &crop.Visit{ID: first.Visits[0].ID}, Delete: true}})
	if now := load(); len(now.Visits) != len(first.Visits) {
		t.Errorf("%d counts after a deletion, want %d", len(now.Visits), len(first.Visits))
	}
}

// TestKeptIsBounded: those that were used longest ago go first, and a state that is past is let go of.
func TestKeptIsBounded(t *testing.T) {
	large := func(bytes int) sharedPacks { return sharedPacks{{{ids: strings.Repeat("A", bytes)}}} }
	id := func(n byte) crop.ID { return crop.ID{n} }
	var k kept
	for n := range byte(3) {
		k.put(id(n), 5, large(mostKept/4))
	}
	k.get(id(0), 5)
	k.put(id(3), 5, large(mostKept/4))
	k.put(id(4), 5, large(mostKept/4))
	k.put(id(5), 5, large(mostKept+1))
	var there []byte
	total := 0
	for _, s := range k.seasons {
		there, total = append(there, s.id[0]), total+s.size
	}
	if want := []byte{0, 3, 4}; !reflect.DeepEqual(there, want) || total > mostKept {
		t.Errorf("kept are %v of %d bytes, want %v and at most %d", there, total, want, mostKept)
	}
	if _, ok := k.get(id(3), 6); ok || len(k.seasons) != 2 {
		t.Errorf("a past state is of use: %t, and %d are kept, want 2", ok, len(k.seasons))
	}
}
