package csvfile

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// memory is a store in memory: enough of one to import into and to export from.
type memory struct {
	change  int64
	records map[crop.ID]crop.Record
	order   []crop.ID
	nextID  uint64
	// wrap, if not nil, makes another session of the one that it is given.
	wrap    func(Session) Session
	applied int
}

func newMemory() *memory {
	m := &memory{records: map[crop.ID]crop.Record{}}
	m.put(new(crop.DefaultScale()))
	m.put(new(crop.ColourClasses()))
	return m
}

func (m *memory) put(r crop.Record) {
	if _, known := m.records[r.Identity()]; !known {
		m.order = append(m.order, r.Identity())
	}
	m.records[r.Identity()] = copyOf(r)
}

// copyOf copies by way of JSON, as a database copies by way of its columns.
func copyOf(r crop.Record) crop.Record {
	data, err := json.Marshal(r)
	if err != nil {
		panic(err)
	}
	c := crop.New(r.RecordKind())
	if err := json.Unmarshal(data, c); err != nil {
		panic(err)
	}
	return c
}

func (m *memory) NewID() crop.ID {
	m.nextID++
	id := crop.ID{6: 0x70, 8: 0x80}
	binary.BigEndian.PutUint32(id[12:], uint32(m.nextID))
	return id
}

func list[T any, P record[T]](m *memory, keep func(P) bool) []T {
	var rows []T
	for _, id := range m.order {
		if r, ok := m.records[id].(P); ok && (keep == nil || keep(r)) {
			rows = append(rows, *(copyOf(r).(P)))
		}
	}
	return rows
}

func (m *memory) Catalogue(context.Context) (*crop.Catalogue, error) {
	return &crop.Catalogue{Change: m.change, Seasons: list[crop.Season](m, nil), Places: list[crop.Place](m, nil),
		Scales: list[crop.Scale](m, nil), Cultivars: list[crop.Cultivar](m, nil)}, nil
}

func (m *memory) Season(_ context.Context, id crop.ID) (*crop.Trial, error) {
	season, ok := m.records[id].(*crop.Season)
	if !ok {
		return nil, crop.Errorf(crop.NotFound, "no season %s", id)
	}
	of := func(plant *crop.ID, u *crop.Unit) bool {
		if plant == nil {
			return *u.SeasonID == id
		}
		return m.records[*plant].(*crop.Plant).SeasonID == id
	}
	t := &crop.Trial{Change: m.change, Season: *season, Places: list[crop.Place](m, nil), Scales: list[crop.Scale](m, nil),
		Cultivars:   list[crop.Cultivar](m, nil),
		Plants:      list(m, func(p *crop.Plant) bool { return p.SeasonID == id }),
		Visits:      list(m, func(v *crop.Visit) bool { return of(&v.PlantID, nil) }),
		Pickings:    list(m, func(p *crop.Picking) bool { return of(p.PlantID, &p.Unit) }),
		Losses:      list(m, func(l *crop.Loss) bool { return of(l.PlantID, &l.Unit) }),
		Diary:       list(m, func(d *crop.DiaryEntry) bool { return d.SeasonID == id }),
		Germination: list(m, func(g *crop.Germination) bool { return g.SeasonID == id }),
	}
	t.Arrange()
	return t, nil
}

func (m *memory) Temperatures(_ context.Context, place crop.ID, from, to time.Time) ([]crop.Temperature, error) {
	return list(m, func(t *crop.Temperature) bool {
		return t.PlaceID == place && !t.MeasuredAt.Before(from) && !t.MeasuredAt.After(to)
	}), nil
}

// Session keeps what was there before, to go back to.
func (m *memory) Session(_ context.Context, opts crop.ApplyOptions, f func(Session) error) error {
	records, order, change := maps.Clone(m.records), slices.Clone(m.order), m.change
	t := &inMemory{memory: m, had: map[crop.Kind]bool{}}
	for _, r := range m.records {
		t.had[r.RecordKind()] = true
	}
	if m.wrap != nil {
		err := f(m.wrap(t))
		return m.end(err, opts.DryRun, records, order, change)
	}
	return m.end(f(t), opts.DryRun, records, order, change)
}

func (m *memory) end(err error, dryRun bool, records map[crop.ID]crop.Record, order []crop.ID, change int64) error {
	if err != nil || dryRun {
		m.records, m.order, m.change = records, order, change
	}
	return err
}

// inMemory is a session of the memory.
type inMemory struct {
	*memory
	had map[crop.Kind]bool
}

func (s *inMemory) Had(kind crop.Kind) bool { return s.had[kind] }

func (s *inMemory) Plants(_ context.Context, season crop.ID) ([]crop.Plant, error) {
	return list(s.memory, func(p *crop.Plant) bool { return p.SeasonID == season }), nil
}

func (s *inMemory) Alike(_ context.Context, kind crop.Kind, stored, added []crop.Record, ids []crop.ID) ([]crop.Record, error) {
	records := slices.Concat(stored, added)
	var found []crop.Record
	for _, id := range s.order {
		r := s.records[id]
		if r.RecordKind() == kind && (slices.Contains(ids, id) || slices.ContainsFunc(records, func(other crop.Record) bool { return alike(r, other) })) {
			found = append(found, copyOf(r))
		}
	}
	return found, nil
}

// alike is coarser than what Alike promises: the time alone, a day alone within the days that it can be anywhere.
func alike(a, b crop.Record) bool {
	switch a := a.(type) {
	case *crop.Visit:
		return near(a.CountedAt, b.(*crop.Visit).CountedAt)
	case *crop.Picking:
		return near(a.PickedAt, b.(*crop.Picking).PickedAt)
	case *crop.Loss:
		return near(a.LostAt, b.(*crop.Loss).LostAt)
	case *crop.DiaryEntry:
		return near(a.NotedAt, b.(*crop.DiaryEntry).NotedAt)
	case *crop.Temperature:
		return a.MeasuredAt.Equal(b.(*crop.Temperature).MeasuredAt)
	case *crop.Germination:
		return *a.CountedOn == *b.(*crop.Germination).CountedOn
	}
	return false
}

func near(a, b crop.Moment) bool { return a.At.Sub(b.At).Abs() <= 24*time.Hour }

func (s *inMemory) Add(ctx context.Context, _ crop.Kind, records []crop.Record) error {
	changes := make([]crop.Change, len(records))
	for i, r := range records {
		changes[i].Record = r
	}
	return s.Apply(ctx, changes)
}

func (s *inMemory) Apply(_ context.Context, changes []crop.Change) error {
	m := s.memory
	m.applied++
	refs := &stored{m}
	var faults []crop.Fault
	for i, c := range changes {
		for _, f := range crop.Check(c.Record, refs, testNow) {
			f.Item = i
			faults = append(faults, f)
		}
		m.put(c.Record)
	}
	m.change++
	if len(faults) > 0 {
		return &crop.Error{Code: crop.Invalid, Message: "refused", Faults: faults}
	}
	return nil
}

// stored makes the memory crop.Refs.
type stored struct{ m *memory }

func find[T any, P record[T]](m *memory, id crop.ID) (P, bool) {
	r, ok := m.records[id].(P)
	return r, ok
}

func (s *stored) Season(id crop.ID) (*crop.Season, bool)     { return find[crop.Season](s.m, id) }
func (s *stored) Place(id crop.ID) (*crop.Place, bool)       { return find[crop.Place](s.m, id) }
func (s *stored) Scale(id crop.ID) (*crop.Scale, bool)       { return find[crop.Scale](s.m, id) }
func (s *stored) Cultivar(id crop.ID) (*crop.Cultivar, bool) { return find[crop.Cultivar](s.m, id) }
func (s *stored) Plant(id crop.ID) (*crop.Plant, bool)       { return find[crop.Plant](s.m, id) }

// testNow is the present of all tests.
var testNow = time.Date(2026, 9, 1, 12, 0, 0, 0, time.UTC)

// files are contents by name.
type files map[string]string

func (f files) sources() []Source {
	var sources []Source
	for _, name := range Files() {
		if text, ok := f[name]; ok {
			sources = append(sources, textSource(name, text))
		}
	}
	return sources
}

func textSource(name, text string) Source {
	return Source{Name: name, Size: int64(len(text)),
		Open: func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }}
}

func options() Options { return Options{Actor: "test", Now: testNow} }

func importInto(store Store, f files, opts Options) (Summary, error) {
	return Import(context.Background(), store, f.sources(), opts)
}

func mustImport(t testing.TB, store Store, f files, opts Options) Summary {
	t.Helper()
	s, err := importInto(store, f, opts)
	if err != nil {
		t.Fatalf("import: %v", err)
	}
	return s
}

// dump is everything a memory holds, to tell whether anything changed.
func (m *memory) dump() string {
	var b strings.Builder
	for _, id := range m.order {
		data, err := json.Marshal(m.records[id])
		if err != nil {
			panic(err)
		}
		fmt.Fprintf(&b, "%s %s\n", m.records[id].RecordKind(), data)
	}
	return b.String()
}
