package storage

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// A season has tens of thousands of counts, and fetching rows column by column through database/sql takes longer than finding
// them. So the database packs the counts of a plant into one row of a few long texts, and unpacker takes them apart.

// packedVisits are the columns of the packed counts of a plant, from the table called e; each list is in the same order.
// What is JSON, and ids, need no mark between them. Texts that may hold anything are packed as JSON, so that nothing in them
// is taken for a mark. What most counts leave empty stands in a list of those that don't.
const packedVisits = `ifnull(group_concat(hex(e.id), ''), ''), ifnull(group_concat(e.counted_at), ''), ifnull(group_concat(e.counts, ''), ''),
	json_group_array(e.observer), json_group_array(e.note),
	json_group_array(json_array(hex(e.id), e.counted_day, e.total, e.trusses_counted, e.trusses_total, e.truss, e.at_least, e.about))
		FILTER (WHERE coalesce(e.counted_day, e.total, e.trusses_counted, e.trusses_total, e.truss) IS NOT NULL OR e.at_least OR e.about)`

// packed is the counts of one plant as the database packs them.
type packed struct {
	plant                                        key
	ids, times, counts, observers, notes, seldom string
}

// scanPacked reads every row of a query that selects a plant's id and packedVisits.
func scanPacked(ctx context.Context, q gorm.ConnPool, query string, args ...any) (all []packed, err error) {
	cursor, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer cursor.Close()
	for cursor.Next() {
		var p packed
		if err := cursor.Scan(&p.plant, &p.ids, &p.times, &p.counts, &p.observers, &p.notes, &p.seldom); err != nil {
			return nil, err
		}
		all = append(all, p)
	}
	return all, cursor.Err()
}

// hexDigits is the length of a packed id.
const hexDigits = 2 * len(crop.ID{})

func (p *packed) len() int { return len(p.ids) / hexDigits }

// unpacker takes packed counts apart. It keeps one copy of each name, of which a season has few.
type unpacker struct {
	names map[string]string
}

func (u *unpacker) name(s string) string {
	if s == "" {
		return ""
	}
	name, ok := u.names[s]
	if !ok {
		name = strings.Clone(s) // s is a piece of a long text, which must not be kept for it
		u.names[name] = name
	}
	return name
}

var errPacked = errors.New("counts don't have the form that they were written in")

// unpackVisits returns the counts of plants, with their moments in UTC.
func unpackVisits(packs []packed) (all []crop.Visit, err error) {
	n := 0
	for i := range packs {
		n += packs[i].len()
	}
	all = make([]crop.Visit, 0, n)
	u := unpacker{map[string]string{}}
	for i := range packs {
		if all, err = u.visits(all, &packs[i]); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// visits appends the counts of one plant.
func (u *unpacker) visits(all []crop.Visit, p *packed) ([]crop.Visit, error) {
	times, counts := jsonText{rest: p.times}, jsonText{rest: p.counts}
	observers, notes, seldom := jsonText{rest: p.observers}, jsonText{rest: p.notes}, jsonText{rest: p.seldom}
	observers.take('[')
	notes.take('[')
	seldom.take('[')
	next, some := u.nextSeldom(&seldom, true)
	for i := range p.len() {
		v := crop.Visit{PlantID: crop.ID(p.plant)}
		ok := unhex(&v.ID, p.ids[i*hexDigits:(i+1)*hexDigits])
		if i > 0 {
			times.take(',')
		}
		at := millis(times.whole())
		v.CountedAt = momentOf(at, nil)
		v.Counts = u.counts(&counts)
		ok = ok && observers.more(i == 0, ']') && notes.more(i == 0, ']')
		v.Observer, v.Note = u.name(observers.text()), u.name(notes.text())
		if some && next.ID == v.ID {
			v.CountedAt = momentOf(at, dayOf(&next.CountedAt.Day))
			v.Total, v.TrussesCounted, v.TrussesTotal, v.Truss = next.Total, next.TrussesCounted, next.TrussesTotal, next.Truss
			v.AtLeast, v.About = next.AtLeast, next.About
			next, some = u.nextSeldom(&seldom, false)
		}
		if !ok {
			return nil, fmt.Errorf("read count %s: %w", v.ID, errPacked)
		}
		all = append(all, v)
	}
	observers.take(']')
	notes.take(']')
	for _, t := range []*jsonText{&times, &counts, &observers, &notes, &seldom} {
		if t.bad || t.rest != "" || some {
			return nil, fmt.Errorf("read counts of plant %s: %w", crop.ID(p.plant), errPacked)
		}
	}
	return all, nil
}

// counts takes the counts of one visit: an object of whole numbers.
func (u *unpacker) counts(t *jsonText) map[string]int {
	counts := make(map[string]int, 8)
	t.take('{')
	for first := true; t.more(first, '}'); first = false {
		stage := u.name(t.text())
		t.take(':')
		counts[stage] = int(t.whole())
	}
	return counts
}

// nextSeldom takes the next count that has what most leave empty.
func (u *unpacker) nextSeldom(t *jsonText, first bool) (v crop.Visit, ok bool) {
	if !t.more(first, ']') {
		return v, false
	}
	t.take('[')
	if !unhex(&v.ID, t.text()) {
		t.fail()
	}
	t.take(',')
	if !t.null() {
		day, err := crop.ParseDate(t.text())
		if err != nil {
			t.fail()
		}
		v.CountedAt.Day = day
	}
	for _, n := range []**int{&v.Total, &v.TrussesCounted, &v.TrussesTotal, &v.Truss} {
		t.take(',')
		if !t.null() {
			*n = new(int(t.whole()))
		}
	}
	for _, yes := range []*bool{&v.AtLeast, &v.About} {
		t.take(',')
		*yes = t.whole() != 0
	}
	t.take(']')
	return v, !t.bad
}

// unhex reads a packed id.
func unhex(id *crop.ID, digits string) bool {
	if len(digits) != hexDigits {
		return false
	}
	var text [hexDigits]byte
	copy(text[:], digits)
	_, err := hex.Decode(id[:], text[:])
	return err == nil
}
