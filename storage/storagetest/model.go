package storagetest

import (
	"cmp"
	"context"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

// model is a store in a few plain lists: no keys, no indexes, every question answered by looking at everything. It says
// what a database must answer.
type model struct {
	versions map[name][]crop.Stored // of each record, the oldest first
	change   int64
}

type name struct {
	kind crop.Kind
	id   crop.ID
}

func nameOf(r crop.Record) name { return name{r.RecordKind(), r.Identity()} }

func (m *model) clone() *model {
	n := &model{versions: map[name][]crop.Stored{}, change: m.change}
	for k, v := range m.versions {
		n.versions[k] = slices.Clone(v)
	}
	return n
}

// latest returns the latest version, and whether it is a record rather than a deletion or nothing.
func (m *model) latest(n name) (v crop.Stored, there bool) {
	if all := m.versions[n]; len(all) > 0 {
		v = all[len(all)-1]
	}
	return v, v.Version > 0 && !v.Deleted
}

// current lists the records that are there, in no order.
func (m *model) current() (all []crop.Record) {
	for n := range m.versions {
		if v, there := m.latest(n); there {
			all = append(all, v.Record)
		}
	}
	return all
}

// modelRefs answers from the batch first, where nil means that there is none, then from the model.
type modelRefs struct {
	m     *model
	batch map[name]crop.Record
}

func refer[T any](r modelRefs, kind crop.Kind, id crop.ID) (*T, bool) {
	rec, ok := r.batch[name{kind, id}]
	if !ok {
		if v, there := r.m.latest(name{kind, id}); there {
			rec = v.Record
		}
	}
	found, is := any(rec).(*T)
	return found, is
}

func (r modelRefs) Season(id crop.ID) (*crop.Season, bool) {
	return refer[crop.Season](r, crop.Seasons, id)
}
func (r modelRefs) Place(id crop.ID) (*crop.Place, bool) {
	return refer[crop.Place](r, crop.Places, id)
}

// Scale knows the shipped ones, which no change touches here.
func (r modelRefs) Scale(id crop.ID) (*crop.Scale, bool) {
	switch id {
	case crop.DefaultScaleID:
		return new(crop.DefaultScale()), true
	case crop.ColourClassScaleID:
		return new(crop.ColourClasses()), true
	}
	return nil, false
}

func (r modelRefs) Cultivar(id crop.ID) (*crop.Cultivar, bool) {
	return refer[crop.Cultivar](r, crop.Cultivars, id)
}
func (r modelRefs) Plant(id crop.ID) (*crop.Plant, bool) {
	return refer[crop.Plant](r, crop.Plants, id)
}

// apply returns the effects and the model afterwards, or the code of the refusal.
func (m *model) apply(changes []crop.Change, now time.Time) (effects []crop.Effect, after *model, code crop.Code) {
	after = m.clone()
	batch := map[name]crop.Record{}
	for _, c := range changes {
		if !c.Delete {
			batch[nameOf(c.Record)] = c.Record
		}
	}
	codes := map[crop.Code]bool{}
	wrote := map[name]bool{}
	effects = make([]crop.Effect, len(changes))
	for _, kind := range crop.Kinds() {
		for i, c := range changes {
			n := nameOf(c.Record)
			if n.kind != kind {
				continue
			}
			effect, code := after.one(c, modelRefs{m, batch}, now)
			if code != "" {
				codes[code] = true
				continue
			}
			effects[i] = effect
			wrote[n] = wrote[n] || effect != crop.Unchanged
			if v, there := after.latest(n); there {
				batch[n] = v.Record
			} else if !c.Delete {
				batch[n] = nil // an old record sent again after its deletion
			}
		}
	}
	if code := gravest(codes); code != "" {
		return nil, m, code
	}
	if len(wrote) > 0 && slices.Contains(mapsValues(wrote), true) {
		if !after.consistent(m, wrote) {
			return nil, m, crop.Conflict
		}
		after.change++
	}
	return effects, after, ""
}

func mapsValues(m map[name]bool) (all []bool) {
	for _, v := range m {
		all = append(all, v)
	}
	return all
}

func gravest(codes map[crop.Code]bool) crop.Code {
	for _, code := range []crop.Code{crop.Invalid, crop.NotFound, crop.Conflict, crop.Stale} {
		if codes[code] {
			return code
		}
	}
	return ""
}

// one takes one change as far as the record itself goes.
func (m *model) one(c crop.Change, refs modelRefs, now time.Time) (crop.Effect, crop.Code) {
	n := nameOf(c.Record)
	v, there := m.latest(n)
	old := c.Base != nil && *c.Base != v.Version
	add := func(rec crop.Record, deleted bool) {
		m.versions[n] = append(m.versions[n], crop.Stored{Record: rec, Version: v.Version + 1, Deleted: deleted})
	}
	if c.Delete {
		made := c.Base != nil && slices.ContainsFunc(m.versions[n], func(s crop.Stored) bool { return s.Deleted && s.Version == *c.Base+1 })
		switch {
		case made || c.Base != nil && v.Deleted && !old:
			return crop.Unchanged, ""
		case !there:
			return "", crop.NotFound
		case old:
			return "", crop.Stale
		}
		add(v.Record, true)
		return crop.Removed, ""
	}
	was := slices.ContainsFunc(m.versions[n], func(s crop.Stored) bool { return !s.Deleted && inUTC(s.Record) == inUTC(c.Record) })
	if was && (old || c.Base == nil && v.Version > 1) {
		return crop.Unchanged, ""
	}
	if old {
		if *c.Base == 0 {
			return "", crop.Conflict
		}
		return "", crop.Stale
	}
	if len(crop.Check(c.Record, refs, now)) > 0 {
		return "", crop.Invalid
	}
	if there && inUTC(v.Record) == inUTC(c.Record) {
		return crop.Unchanged, ""
	}
	add(c.Record, false)
	if there {
		return crop.Replaced, ""
	}
	return crop.Created, ""
}

// consistent tells whether the records can stand together, and whether the step from before keeps what was counted.
func (m *model) consistent(before *model, wrote map[name]bool) bool {
	all := m.current()
	refs := modelRefs{m, nil}
	taken := map[string]bool{}
	for _, r := range all {
		if k := uniqueText(r); k != "" {
			if taken[k] {
				return false
			}
			taken[k] = true
		}
		copied := crop.New(r.RecordKind())
		if err := fromText(text(r), copied); err != nil || len(crop.Check(copied, refs, Now.AddDate(500, 0, 0))) > 0 {
			return false // refers to what isn't there, or is wrong after another's edit
		}
		if !wrote[nameOf(r)] {
			continue
		}
		if old, there := before.latest(nameOf(r)); there && !keepsCounts(before, m, old.Record, r) {
			return false
		}
	}
	return true
}

func uniqueText(r crop.Record) string {
	switch r := r.(type) {
	case *crop.Season:
		return "season " + r.Name
	case *crop.Place:
		return "place " + r.Name
	case *crop.Cultivar:
		return "cultivar " + r.Name
	case *crop.Plant:
		return "plant " + r.SeasonID.String() + r.Label
	}
	return ""
}

// keepsCounts tells whether the edit leaves the scale and season of what was counted before it.
func keepsCounts(before, after *model, old, now crop.Record) bool {
	events := func(belongs func(plant *crop.Plant) bool) bool {
		return slices.ContainsFunc(before.current(), func(r crop.Record) bool {
			var id crop.ID
			switch r := r.(type) {
			case *crop.Visit:
				id = r.PlantID
			case *crop.Picking:
				id = *r.PlantID
			default:
				return false
			}
			p, _ := refer[crop.Plant](modelRefs{before, nil}, crop.Plants, id)
			return belongs(p)
		})
	}
	switch now := now.(type) {
	case *crop.Cultivar:
		return old.(*crop.Cultivar).Scale() == now.Scale() || !events(func(p *crop.Plant) bool { return p.CultivarID == now.ID })
	case *crop.Plant:
		old := old.(*crop.Plant)
		was, _ := refer[crop.Cultivar](modelRefs{before, nil}, crop.Cultivars, old.CultivarID)
		is, _ := refer[crop.Cultivar](modelRefs{after, nil}, crop.Cultivars, now.CultivarID)
		return old.SeasonID == now.SeasonID && was.Scale() == is.Scale() || !events(func(p *crop.Plant) bool { return p.ID == now.ID })
	}
	return true
}

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
