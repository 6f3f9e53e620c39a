package storagetest

import (
	"maps"
	"slices"
	"time"

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
	if slices.Contains(slices.Collect(maps.Values(wrote)), true) {
		if !after.consistent(m, wrote) {
			return nil, m, crop.Conflict
		}
		after.change++
	}
	return effects, after, ""
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
