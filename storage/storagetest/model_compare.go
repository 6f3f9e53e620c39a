package storagetest

import (
	"cmp"
	"context"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

// testModel makes random batches and compares every answer and all that is stored with the model.
func testModel(t *testing.T, open func(Options) Database) {
	rapid.Check(t, func(rt *rapid.T) {
		db := open(Options{})
		defer db.Close()
		store := db.Store
		ctx := context.Background()
		m := &model{versions: map[name][]crop.Stored{}}
		for step := range rapid.IntRange(2, 40).Draw(rt, "steps") {
			changes := startingRecords()
			if step > 0 {
				changes = rapid.SliceOfN(rapid.Custom(func(rt *rapid.T) crop.Change { return drawChange(rt, m) }), 1, 3).Draw(rt, "changes")
			}
			sent := make([]crop.Change, len(changes))
			for i, c := range changes {
				sent[i] = c
				sent[i].Record = crop.New(c.Record.RecordKind())
				if err := fromText(text(c.Record), sent[i].Record); err != nil {
					rt.Fatalf("copy: %v", err)
				}
			}
			want, after, code := m.apply(changes, Now)
			out, err := store.Apply(ctx, sent, crop.ApplyOptions{})
			got := crop.CodeOf(err)
			if got == crop.Conflict && code == crop.Stale {
				got = code // a batch with a stale change may have a name that is taken too, which the model doesn't go on to see
			}
			if got != code || err != nil && code == "" {
				rt.Fatalf("apply %s\n got %q (%v)\nwant %q", text(sent), got, err, code)
			}
			if err == nil && !slices.Equal(effects(out), want) {
				rt.Fatalf("apply %s\n got %v\nwant %v", text(sent), effects(out), want)
			}
			m = after
			compareAll(rt, &farm{tb: rt, ctx: ctx, store: store}, m)
		}
	})
}

func compareAll(rt *rapid.T, f *farm, m *model) {
	if got := f.change(); got != m.change {
		rt.Fatalf("change %d, want %d", got, m.change)
	}
	there := map[crop.Kind]int{}
	for n, want := range m.versions {
		if _, ok := m.latest(n); ok {
			there[n.kind]++
		}
		got, err := f.store.History(f.ctx, n.kind, n.id)
		if len(want) == 0 && crop.CodeOf(err) == crop.NotFound {
			continue
		}
		if err != nil || len(got) != len(want) {
			rt.Fatalf("history of %s %s: %d versions, %v; want %d", n.kind, n.id, len(got), err, len(want))
		}
		for i := range want {
			// Compared as recorded: the text of a moment is the same in every zone only in UTC or as a day.
			if got[i].Version != want[i].Version || got[i].Deleted != want[i].Deleted || inUTC(got[i].Record) != inUTC(want[i].Record) {
				rt.Fatalf("version %d of %s:\n got %s\nwant %s", i+1, n.kind, text(got[i]), text(want[i]))
			}
		}
	}
	for _, kind := range crop.Kinds() {
		listed := walk(f, kind, crop.Filter{Limit: 3}, func() {})
		if kind == crop.Scales {
			continue // the shipped two, which no change touches here
		}
		if len(listed) != there[kind] {
			rt.Fatalf("%d %s listed, want %d", len(listed), kind, there[kind])
		}
		for _, s := range listed {
			if want, _ := m.latest(nameOf(s.Record)); inUTC(s.Record) != inUTC(want.Record) {
				rt.Fatalf("listed %s\nwant %s", text(s.Record), text(want.Record))
			}
		}
		if !slices.IsSortedFunc(listed, func(a, b crop.Stored) int { return cmp.Compare(placeInList(a.Record), placeInList(b.Record)) }) {
			rt.Fatalf("%s listed out of order: %s", kind, text(listed))
		}
	}
}

// placeInList is what lists go by, as text that sorts alike; ids break ties.
func placeInList(r crop.Record) string {
	at := ""
	switch r := r.(type) {
	case *crop.Season:
		at = r.Name
	case *crop.Place:
		at = r.Name
	case *crop.Cultivar:
		at = r.Name
	case *crop.Plant:
		at = r.Label
	case *crop.Visit:
		at = r.CountedAt.At.UTC().Format("2006-01-02T15:04:05.000")
	case *crop.Picking:
		at = r.PickedAt.At.UTC().Format("2006-01-02T15:04:05.000")
	}
	return at + "\x00" + r.Identity().String()
}
