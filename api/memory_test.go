package api

import (
	"cmp"
	"context"
	"slices"
	"sync"
	"time"

	"vinetally/analytics/crop"
)

type rowKey struct {
	kind crop.Kind
	id   crop.ID
}

// memory is a store of maps for tests: the domain's checks, versions and nothing of references or filters.
type memory struct {
	mu   sync.Mutex
	last byte
	rows map[rowKey][]crop.Stored
	now  func() time.Time
	fail error // answered to everything if set
}

func newMemory() *memory {
	m := &memory{rows: map[rowKey][]crop.Stored{}, now: func() time.Time { return testNow }}
	for _, scale := range []crop.Scale{crop.DefaultScale(), crop.ColourClasses()} {
		m.rows[rowKey{crop.Scales, scale.ID}] = []crop.Stored{{Record: &scale, Version: 1, RecordedAt: testNow}}
	}
	return m
}

func (m *memory) NewID() crop.ID {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.last++
	return crop.ID{0: 1, 6: 0x70, 8: 0x80, 15: m.last}
}

func (m *memory) current(kind crop.Kind, id crop.ID) (crop.Stored, bool) {
	versions := m.rows[rowKey{kind, id}]
	if len(versions) == 0 {
		return crop.Stored{}, false
	}
	return versions[len(versions)-1], true
}

func lookUp[T crop.Record](m *memory, kind crop.Kind, id crop.ID) (T, bool) {
	s, ok := m.current(kind, id)
	if !ok || s.Deleted {
		var none T
		return none, false
	}
	return s.Record.(T), true
}

func (m *memory) Place(id crop.ID) (*crop.Place, bool) {
	return lookUp[*crop.Place](m, crop.Places, id)
}
func (m *memory) Scale(id crop.ID) (*crop.Scale, bool) {
	return lookUp[*crop.Scale](m, crop.Scales, id)
}
func (m *memory) Season(id crop.ID) (*crop.Season, bool) {
	return lookUp[*crop.Season](m, crop.Seasons, id)
}
func (m *memory) Plant(id crop.ID) (*crop.Plant, bool) {
	return lookUp[*crop.Plant](m, crop.Plants, id)
}
func (m *memory) Cultivar(id crop.ID) (*crop.Cultivar, bool) {
	return lookUp[*crop.Cultivar](m, crop.Cultivars, id)
}

func (m *memory) Apply(_ context.Context, changes []crop.Change, o crop.ApplyOptions) ([]crop.Outcome, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.fail != nil {
		return nil, m.fail
	}
	if o.DryRun {
		var all []crop.Fault
		for i, c := range changes {
			for _, f := range crop.Check(c.Record, m, m.now()) {
				all = append(all, crop.Fault{Item: i, Pointer: f.Pointer, Detail: f.Detail})
			}
		}
		if len(all) > 0 {
			return nil, &crop.Error{Code: crop.Invalid, Message: "not stored", Faults: all}
		}
		return make([]crop.Outcome, len(changes)), nil
	}
	change := changes[0]
	at := rowKey{change.Record.RecordKind(), change.Record.Identity()}
	before, exists := m.current(at.kind, at.id)
	alive := exists && !before.Deleted
	if change.Delete && !alive {
		return nil, crop.Errorf(crop.NotFound, "there is no such record")
	}
	if !change.Delete {
		if faults := crop.Check(change.Record, m, m.now()); len(faults) > 0 {
			return nil, &crop.Error{Code: crop.Invalid, Message: "not stored", Faults: faults}
		}
		for _, v := range m.rows[at] {
			if sameRecord(v.Record, change.Record) && (change.Base == nil || *change.Base != before.Version) {
				return []crop.Outcome{{Stored: before, Effect: crop.Unchanged, Superseded: !alive || !sameRecord(before.Record, change.Record)}}, nil
			}
		}
	}
	if change.Base != nil && *change.Base == 0 && exists {
		return nil, &crop.Error{Code: crop.Conflict, Message: "refused", Faults: []crop.Fault{{Pointer: "/id", Detail: "is taken"}}}
	}
	if change.Base != nil && *change.Base != before.Version {
		return nil, crop.Errorf(crop.Stale, "it is at version %d", before.Version)
	}
	out := crop.Outcome{Stored: crop.Stored{Record: change.Record, Version: before.Version + 1, RecordedAt: m.now(), Actor: o.Actor,
		Deleted: change.Delete}, Effect: crop.Replaced}
	switch {
	case change.Delete:
		out.Record, out.Effect = before.Record, crop.Removed
	case !alive:
		out.Effect = crop.Created
	}
	m.rows[at] = append(m.rows[at], out.Stored)
	return []crop.Outcome{out}, nil
}

func sameRecord(a, b crop.Record) bool {
	x, errA := marshal(a)
	y, errB := marshal(b)
	return errA == nil && errB == nil && string(x) == string(y)
}

func (m *memory) Get(_ context.Context, kind crop.Kind, id crop.ID) (crop.Stored, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.fail != nil {
		return crop.Stored{}, m.fail
	}
	if s, ok := m.current(kind, id); ok && !s.Deleted {
		return s, nil
	}
	return crop.Stored{}, crop.Errorf(crop.NotFound, "there is none of %s with the id %s", kind, id)
}

func (m *memory) List(_ context.Context, kind crop.Kind, f crop.Filter) (crop.Page, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.fail != nil {
		return crop.Page{}, m.fail
	}
	var page crop.Page
	for at := range m.rows {
		id := at.id
		if s, ok := m.current(kind, id); ok && at.kind == kind && !s.Deleted && id.String() > f.Cursor {
			page.Items = append(page.Items, s)
		}
	}
	slices.SortFunc(page.Items, func(a, b crop.Stored) int { return a.Record.Identity().Compare(b.Record.Identity()) })
	if limit := cmp.Or(f.Limit, 100); len(page.Items) > limit {
		page.Items = page.Items[:limit]
		page.Next = page.Items[limit-1].Record.Identity().String()
	}
	return page, nil
}

func (m *memory) History(_ context.Context, kind crop.Kind, id crop.ID) ([]crop.Stored, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.fail != nil {
		return nil, m.fail
	}
	if _, ok := m.current(kind, id); !ok {
		return nil, crop.Errorf(crop.NotFound, "there is no such record")
	}
	return m.rows[rowKey{kind, id}], nil
}

func (m *memory) LoadSeason(context.Context, crop.ID, bool) (*crop.Trial, error) {
	return nil, cmp.Or(m.fail, error(crop.Errorf(crop.NotFound, "there is no such season")))
}

func (m *memory) LoadPlant(context.Context, crop.ID, bool) (*crop.Trial, error) {
	return nil, cmp.Or(m.fail, error(crop.Errorf(crop.NotFound, "there is no such plant")))
}

func (m *memory) Temperatures(context.Context, crop.ID, time.Time, time.Time) ([]crop.Temperature, error) {
	return nil, m.fail
}

func (m *memory) Catalogue(context.Context) (*crop.Catalogue, error) {
	return &crop.Catalogue{}, m.fail
}
