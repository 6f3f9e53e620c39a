package csvfile

import (
	"errors"
	"slices"

	"vinetally/analytics/crop"
)

// chunkRows is how many rows are held at a time: enough for a look-up and an insert to be worth a statement each, few enough
// that they weigh nothing.
const chunkRows = 4096

// stream reads rows of a kind that nothing refers to. They are matched and stored chunk by chunk and then forgotten, so a
// file may be of any length.
type stream[K comparable, T any, P record[T]] struct {
	kind  crop.Kind
	table *table[T]
	key   func(*T) K
	// clone copies a record, empty makes one anew; both may be nil for records that hold no map.
	clone func(*T) *T
	empty func(*T)
	// lone tells that no two records may have one key, not even with ids.
	lone bool

	sources []int32 // read so far
	lenient bool
	rows    []streamRow[K, T]
	n       int      // of rows in use
	cells   []string // of the rows, one after the other
	byKey   map[K]int32
	byID    map[crop.ID]rowRef
	withIDs bool // a row so far had an id
	doubts  []doubt[K]
	bearing int // how many doubts are borne before they are resolved, 0 at first

	// The chunk's look-up.
	stored, added []crop.Record
	ids           []crop.ID
	alike         map[K][]P
	alikeIDs      map[crop.ID]P
	fresh         []crop.Record
	freshAt       []rowRef
}

// streamRow is one row of the chunk.
type streamRow[K comparable, T any] struct {
	record T
	key    K
	id     crop.ID // as the row gives it
	c      cell
	h      *header
	cells  []string
}

func newStream[K comparable, T any, P record[T]](kind crop.Kind, t *table[T], key func(*T) K) *stream[K, T, P] {
	return &stream[K, T, P]{kind: kind, table: t, key: key,
		byKey: map[K]int32{}, byID: map[crop.ID]rowRef{}, alike: map[K][]P{}, alikeIDs: map[crop.ID]P{}}
}

// read reads one source.
func (s *stream[K, T, P]) read(im *importer, source int32, lenient bool) {
	s.sources, s.lenient = append(s.sources, source), lenient
	readTable(im, source, s.table, lenient, s.take)
}

// finish stores what is left when all sources are read.
func (s *stream[K, T, P]) finish(im *importer) {
	if s.n > 0 {
		s.flush(im)
	}
	s.resolve(im)
	im.seen.reset()
}

// take reads one row, and stores the chunk when it is full.
func (s *stream[K, T, P]) take(c *cell, h *header, cells []string) {
	if s.n == len(s.rows) {
		s.grow()
	}
	row := &s.rows[s.n]
	if s.empty != nil {
		s.empty(&row.record)
	} else {
		row.record = *new(T)
	}
	row.id = idCell(c, h, cells)
	s.table.fill(c, h, cells, &row.record)
	if c.faults > 0 {
		checkRest(c, P(&row.record))
		return
	}
	start := len(s.cells)
	s.cells = append(s.cells, cells...)
	row.key, row.c, row.h, row.cells = s.key(&row.record), *c, h, s.cells[start:len(s.cells):len(s.cells)]
	if s.n++; s.n == chunkRows {
		s.flush(c.im)
	}
}

// grow makes room for more rows; those before must stay where they are.
func (s *stream[K, T, P]) grow() {
	more := make([]streamRow[K, T], min(max(64, 4*s.n), chunkRows))
	copy(more, s.rows)
	s.rows = more
}

// flush matches and stores the rows of the chunk.
func (s *stream[K, T, P]) flush(im *importer) {
	s.lookUp(im)
	for i := range s.rows[:s.n] {
		if im.stopped() {
			break
		}
		s.settle(im, int32(i))
	}
	s.remember(im)
	s.settleDoubles(im)
	s.store(im)
	s.n, s.cells = 0, s.cells[:0]
	clear(s.byKey)
	clear(s.byID)
	clear(s.alike)
	clear(s.alikeIDs)
	if s.bearing = max(s.bearing, firstBearing); len(s.doubts) >= s.bearing {
		s.resolve(im)
		s.bearing *= 2
	}
}

// lookUp asks the store for what rows of the chunk may be of. Nothing need be asked for rows whose like was neither stored
// before the import nor seen in it.
func (s *stream[K, T, P]) lookUp(im *importer) {
	s.stored, s.added, s.ids = s.stored[:0], s.added[:0], s.ids[:0]
	had := im.session.Had(s.kind)
	for i := range s.rows[:s.n] {
		row := &s.rows[i]
		if had {
			s.stored = append(s.stored, P(&row.record))
		}
		if s.keySeen(im, row) {
			s.added = append(s.added, P(&row.record))
		}
		if !row.id.IsZero() && (had || im.seen.has(hashOf(row.id, ownID))) {
			s.ids = append(s.ids, row.id)
		}
	}
	if im.stopped() || len(s.stored)+len(s.added)+len(s.ids) == 0 {
		return
	}
	found, err := im.session.Alike(im.ctx, s.kind, s.stored, s.added, s.ids)
	if err != nil {
		im.err = err
		return
	}
	for _, r := range found {
		p, ok := r.(P)
		if !ok {
			continue
		}
		key := s.key(p)
		s.alike[key] = append(s.alike[key], p)
		s.alikeIDs[p.Identity()] = p
	}
}

// keySeen tells whether an earlier chunk may have had a row that this one can't stand beside.
func (s *stream[K, T, P]) keySeen(im *importer, row *streamRow[K, T]) bool {
	hash := hashOf(row.key, keyWithoutID)
	return im.seen.has(hash) || (s.lone || row.id.IsZero()) && s.withIDs && im.seen.has(hash^keyWithID)
}

// settle says which stored record a row is of and what it changes.
func (s *stream[K, T, P]) settle(im *importer, i int32) {
	row, before := &s.rows[i], len(im.faults.list)
	stored, column, problem, d := s.match(im, i)
	if problem != "" {
		row.c.faultAt(column, "%s", problem)
	} else {
		s.change(im, row, stored)
	}
	if d != nil {
		// What is said of the row counts only if it turns out not to be a repetition.
		d.held = slices.Clone(im.faults.list[before:])
		im.faults.list = im.faults.list[:before]
		s.doubts = append(s.doubts, *d)
	}
}

// change takes what a row changes: it is new, or of a stored record.
func (s *stream[K, T, P]) change(im *importer, row *streamRow[K, T], stored P) {
	c, r := &row.c, &row.record
	switch {
	case stored != nil:
		if s.clone != nil {
			r = s.clone(stored)
		} else {
			r = new(*stored)
		}
		s.table.fill(c, row.h, row.cells, r)
		if c.plant != nil && c.plant.faulty || !im.check(P(r), c.at) {
			return
		}
		settle(im, s.table, row.h, c.at, r, stored, func() { im.addChange(P(r), c.at) })
	case c.plant != nil && c.plant.faulty:
	case row.id.IsZero():
		P(r).SetIdentity(im.store.NewID())
		s.add(im, r, c.at)
	case im.session.Had(s.kind): // the id may be of a record that was deleted
		P(r).SetIdentity(row.id)
		if im.check(P(r), c.at) {
			im.addChange(P(r), c.at)
			im.tallies[c.at.source].Created++
		}
	default:
		P(r).SetIdentity(row.id)
		s.add(im, r, c.at)
	}
}

func (s *stream[K, T, P]) add(im *importer, r P, at rowRef) {
	im.took(r)
	s.fresh, s.freshAt = append(s.fresh, r), append(s.freshAt, at)
	im.tallies[at.source].Created++
}

// remember keeps the keys and ids of the chunk for the chunks that follow.
func (s *stream[K, T, P]) remember(im *importer) {
	for i := range s.rows[:s.n] {
		row := &s.rows[i]
		hash := hashOf(row.key, keyWithoutID)
		if !row.id.IsZero() {
			s.withIDs = true
			hash ^= keyWithID
		}
		im.seen.add(hash)
	}
	for id := range s.byID {
		im.seen.add(hashOf(id, ownID))
	}
}

// store hands over what the chunk changes. Once there is a fault anywhere nothing will be stored, and rows are only checked.
func (s *stream[K, T, P]) store(im *importer) {
	im.apply()
	if im.err == nil && im.faults.none() && len(s.fresh) > 0 {
		im.told(im.session.Add(im.ctx, s.kind, s.fresh), func(item int) (crop.Record, rowRef) { return s.fresh[item], s.freshAt[item] }, len(s.fresh))
	} else if im.err == nil {
		for i, r := range s.fresh {
			if im.stopped() {
				break
			}
			im.check(r, s.freshAt[i])
		}
	}
	clear(s.fresh)
	s.fresh, s.freshAt = s.fresh[:0], s.freshAt[:0]
}

// told takes over what a step of the session came to: faults of its records, or an error that ends the import.
func (im *importer) told(err error, of func(item int) (crop.Record, rowRef), n int) {
	if err == nil {
		return
	}
	refused, ok := errors.AsType[*crop.Error](err)
	if !ok || len(refused.Faults) == 0 {
		im.err = err
		return
	}
	for _, f := range refused.Faults {
		if f.Item < 0 || f.Item >= n {
			im.err = err
			return
		}
		r, row := of(f.Item)
		at, column := im.locate(r, row, f.Pointer)
		im.fault(at, column, "%s", f.Detail)
	}
}
