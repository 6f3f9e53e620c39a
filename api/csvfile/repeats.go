package csvfile

import (
	"fmt"
	"slices"

	"vinetally/analytics/crop"
)

// doubt is a row that may repeat one of an earlier chunk, or double a stored record. Which is so is found out by reading
// the files again.
type doubt[K comparable] struct {
	at     rowRef
	key    K
	id     crop.ID // as the row gives it
	stored crop.ID // of the record that a row without id is of
	was    *K      // the key of the stored record that a row with an id is of
	// doubled are the stored records with the key of a row that has a new id.
	doubled []crop.ID
	// sameKey, sameID and claimed tell what may be: an earlier row has the key, the id, or the stored record.
	sameKey, sameID, claimed bool
	held                     []placedFault // what else is wrong with it

	keyRow, idRow, claimRow rowRef // what was found
}

// firstBearing is how many doubts there may be before the files are read again for the first time. It doubles each time, so
// that all this reading takes no more than a few times as long as reading once.
const firstBearing = 4096

// match returns the stored record that a row is of, nil if it is new. A problem says in which column what is wrong. A doubt
// says what only reading the files again can tell.
func (s *stream[K, T, P]) match(im *importer, i int32) (stored P, column, problem string, d *doubt[K]) {
	row := &s.rows[i]
	withID := !row.id.IsZero()
	if j, twice := s.byKey[row.key]; twice {
		if other := &s.rows[j]; s.lone || !withID || other.id.IsZero() {
			return nil, s.table.key, s.repeated(im, other.c.at, row.c.at, withID && !other.id.IsZero()), nil
		}
	}
	s.byKey[row.key] = i
	alike := s.alike[row.key]
	// Whatever the filter says, there is no earlier row of what isn't stored, as long as all rows are.
	possible := func(there bool) bool { return there || !im.faults.none() }
	found := doubt[K]{at: row.c.at, key: row.key, id: row.id}
	found.sameKey = possible(len(alike) > 0) && s.keySeen(im, row)
	if withID {
		stored, column, problem = s.matchID(im, row, alike, possible, &found)
	} else {
		stored, column, problem = s.matchKey(im, row, alike, &found)
	}
	if found.sameKey || found.sameID || found.claimed || len(found.doubled) > 0 {
		d = &found
	}
	return stored, column, problem, d
}

func (s *stream[K, T, P]) repeated(im *importer, other, at rowRef, bothIDs bool) string {
	if bothIDs {
		return fmt.Sprintf("another %s of this place and time stands in %s; a place has one %[1]s at a time", s.table.noun, im.where(other, at))
	}
	return fmt.Sprintf("the same %s stands in %s already; keep one of the two", s.table.noun, im.where(other, at))
}

func sameID(im *importer, other, at rowRef) string {
	return fmt.Sprintf("the same id stands in %s already; an id is of one record", im.where(other, at))
}

func claimedByID(im *importer, other, at rowRef) string {
	return fmt.Sprintf("this is the record that %s has by its id; keep one of the two", im.where(other, at))
}

func (s *stream[K, T, P]) doubles(id crop.ID) string {
	return fmt.Sprintf("the same %s is stored already with the id %s; leave the id empty to mean that one", s.table.noun, id)
}

func (s *stream[K, T, P]) matchID(im *importer, row *streamRow[K, T], alike []P, possible func(bool) bool, d *doubt[K]) (stored P, column, problem string) {
	if other, twice := s.byID[row.id]; twice {
		return nil, "id", sameID(im, other, row.c.at)
	}
	s.byID[row.id] = row.c.at
	stored = s.alikeIDs[row.id]
	d.sameID = possible(stored != nil) && im.seen.has(hashOf(row.id, ownID))
	if stored == nil {
		for _, p := range alike {
			if s.lone {
				return nil, "id", s.doubles(p.Identity())
			}
			d.doubled = append(d.doubled, p.Identity())
		}
		return nil, "", ""
	}
	was := s.key(stored)
	d.was = &was
	if s.lone && was != row.key {
		return nil, "id", "is the id of a reading of another place or time; leave it empty to store another reading"
	}
	if season, isForeign := im.foreignSeason(stored); isForeign {
		return nil, "id", foreign(season)
	}
	return stored, "", ""
}

func (s *stream[K, T, P]) matchKey(im *importer, row *streamRow[K, T], alike []P, d *doubt[K]) (stored P, column, problem string) {
	switch len(alike) {
	case 0:
		return nil, "", ""
	case 1:
	default:
		return nil, s.table.key, fmt.Sprintf("%d stored records are alike in this; add the id column to say which one is meant", len(alike))
	}
	id := alike[0].Identity()
	if other, twice := s.byID[id]; twice {
		return nil, s.table.key, claimedByID(im, other, row.c.at)
	}
	s.byID[id] = row.c.at
	d.stored, d.claimed = id, im.seen.has(hashOf(id, ownID))
	return alike[0], "", ""
}

// settleDoubles clears the doubts about rows whose doubled records the chunk itself has.
func (s *stream[K, T, P]) settleDoubles(im *importer) {
	kept := s.doubts[:0]
	for _, d := range s.doubts {
		d.doubled = slices.DeleteFunc(d.doubled, func(id crop.ID) bool { _, ok := s.byID[id]; return ok })
		if len(d.doubled) > 0 || d.sameKey || d.sameID || d.claimed {
			kept = append(kept, d)
			continue
		}
		im.faults.take(d.held)
	}
	s.doubts = kept
}

// resolve reads the files of the kind again to find out about the rows in doubt, if there are any.
func (s *stream[K, T, P]) resolve(im *importer) {
	if len(s.doubts) == 0 || im.stopped() {
		return
	}
	claims := s.readAgain(im)
	for i := range s.doubts {
		d := &s.doubts[i]
		switch {
		case d.keyRow.line > 0:
			im.fault(d.at, s.table.key, "%s", s.repeated(im, d.keyRow, d.at, !d.id.IsZero() && s.lone))
		case d.idRow.line > 0:
			im.fault(d.at, "id", "%s", sameID(im, d.idRow, d.at))
		case d.claimRow.line > 0:
			im.fault(d.at, s.table.key, "%s", claimedByID(im, d.claimRow, d.at))
		default:
			im.faults.take(d.held)
			if at := slices.IndexFunc(d.doubled, func(id crop.ID) bool { return !claims[id] }); at >= 0 {
				im.fault(d.at, "id", "%s", s.doubles(d.doubled[at]))
			}
		}
	}
	s.doubts = s.doubts[:0]
}

// readAgain looks for the earlier rows of those in doubt. It returns which of the doubled records rows have by their ids.
func (s *stream[K, T, P]) readAgain(im *importer) map[crop.ID]bool {
	keys, ids, claims := map[K][]int{}, map[crop.ID][]int{}, map[crop.ID]bool{}
	for i := range s.doubts {
		d := &s.doubts[i]
		if d.sameKey {
			keys[d.key] = append(keys[d.key], i)
		}
		if d.sameID {
			ids[d.id] = append(ids[d.id], i)
			if d.was != nil && (!d.sameKey || *d.was != d.key) {
				keys[*d.was] = append(keys[*d.was], i)
			}
		}
		if d.claimed {
			ids[d.stored] = append(ids[d.stored], i)
		}
		for _, id := range d.doubled {
			claims[id] = false
		}
	}
	visit := func(at rowRef, key K, id crop.ID) {
		if _, asked := claims[id]; asked {
			claims[id] = true
		}
		for _, i := range ids[id] {
			if d := &s.doubts[i]; at.before(d.at) {
				if d.sameID {
					d.idRow = at
				} else {
					d.claimRow = at
				}
			}
		}
		for _, i := range keys[key] {
			d := &s.doubts[i]
			switch {
			case !at.before(d.at):
			case d.key == key && (s.lone || id.IsZero() || d.id.IsZero()):
				d.keyRow = at
			case d.was != nil && *d.was == key && id.IsZero():
				d.idRow = at
			}
		}
	}
	faults, tallies := im.faults, im.tallies
	im.again, im.faults = true, faultList{}
	for i := range im.sources {
		if im.sources[i].kind() != s.table.file || im.err != nil {
			continue
		}
		im.tallies = map[int32]*FileSummary{int32(i): {}}
		readTable(im, int32(i), s.table, s.lenient, func(c *cell, h *header, cells []string) {
			r := new(T)
			id := idCell(c, h, cells)
			s.table.fill(c, h, cells, r)
			if c.faults == 0 {
				visit(c.at, s.key(r), id)
			} else if !id.IsZero() {
				claims[id] = true
			}
		})
	}
	im.again, im.faults, im.tallies = false, faults, tallies
	return claims
}

// before tells whether a row is read before another of the same kind.
func (r rowRef) before(other rowRef) bool {
	return r.source < other.source || r.source == other.source && r.line < other.line
}
