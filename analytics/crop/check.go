package crop

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Refs answers what a record refers to, as it stands at the moment of the check.
type Refs interface {
	PlaceRefs
	CultivarRefs
	Season(ID) (*Season, bool)
	Plant(ID) (*Plant, bool)
}

// PlaceRefs answers for places.
type PlaceRefs interface {
	Place(ID) (*Place, bool)
}

// CultivarRefs answers for cultivars and their scales.
type CultivarRefs interface {
	Scale(ID) (*Scale, bool)
	Cultivar(ID) (*Cultivar, bool)
}

// Limits of text, in characters.
const (
	MaxName = 200
	MaxNote = 4000
)

// Check returns every rule that the record breaks, none if it may be stored; now is the present, which no record may be
// after. It also completes the record: names and texts get the form of Name and Text, a picking without a stage is of the ripe one and
// without a grade is marketable, moves are put in order (pointers to them count as they came), a moment gets the zone of
// the place where the plant stood.
func Check(r Record, refs Refs, now time.Time) []Fault {
	c := &checker{refs: refs, now: now}
	if r.Identity().IsZero() {
		c.fault("/id", "is missing; give the record a UUID")
	}
	r.check(c)
	return c.faults
}

type checker struct {
	refs   Refs
	now    time.Time
	faults []Fault
}

func (c *checker) fault(pointer, format string, args ...any) {
	c.faults = append(c.faults, Fault{Pointer: pointer, Detail: fmt.Sprintf(format, args...)})
}

func (c *checker) missing(pointer, what string, id ID) {
	if id.IsZero() {
		c.fault(pointer, "is missing; name the %s", what)
		return
	}
	c.fault(pointer, "is %s, but there is no %s with this id; make it first, or mend the id", id, what)
}

func (c *checker) name(pointer string, s *string) {
	*s = Name(*s)
	if *s == "" {
		c.fault(pointer, "is empty; give a name")
		return
	}
	c.shortText(pointer, s)
}

func (c *checker) shortText(pointer string, s *string) {
	*s = Name(*s)
	c.limit(pointer, *s, MaxName)
	if strings.ContainsAny(*s, "\n\t") {
		c.fault(pointer, "is %s, which has a line break or tab; write it on one line", quoted(*s))
	}
}

func (c *checker) text(pointer string, s *string) {
	*s = Text(*s)
	c.limit(pointer, *s, MaxNote)
}

func (c *checker) limit(pointer, s string, limit int) {
	if !utf8.ValidString(s) {
		c.fault(pointer, "is %s, which is not valid UTF-8; save the text as UTF-8", quoted(s))
		return
	}
	if n := utf8.RuneCountInString(s); n > limit {
		c.fault(pointer, "has %d characters; it may have at most %d, so shorten it", n, limit)
	}
	for _, r := range s {
		if r != '\n' && r != '\t' && (r < ' ' || r >= 0x7f && r < 0xa0) {
			c.fault(pointer, "has the control character U+%04X; take it out", r)
			return
		}
	}
}

func (c *checker) season(pointer string, id ID) {
	if _, ok := c.refs.Season(id); !ok {
		c.missing(pointer, "season", id)
	}
}

func (c *checker) place(pointer string, id ID) {
	if _, ok := c.refs.Place(id); !ok {
		c.missing(pointer, "place", id)
	}
}

func (c *checker) cultivar(pointer string, id ID) (*Cultivar, bool) {
	v, ok := c.refs.Cultivar(id)
	if !ok {
		c.missing(pointer, "cultivar", id)
	}
	return v, ok
}

func (c *checker) plant(pointer string, id ID) (*Plant, *Scale, bool) {
	p, ok := c.refs.Plant(id)
	if !ok {
		c.missing(pointer, "plant", id)
		return nil, nil, false
	}
	scale, ok := c.scale(pointer, p.CultivarID)
	return p, scale, ok
}

func (c *checker) scale(pointer string, cultivar ID) (*Scale, bool) {
	scale, ok := ScaleOf(c.refs, cultivar)
	if !ok {
		c.fault(pointer, "leads to a cultivar without a ripeness scale; give the cultivar one")
	}
	return scale, ok
}

// source resolves where a picking or loss came from: a plant, or a unit.
func (c *checker) source(plantID *ID, u *Unit) (*Plant, *Scale, bool) {
	if plantID != nil {
		if u.SeasonID != nil || u.PlaceID != nil || u.CultivarID != nil {
			c.fault("/plant_id", "is given together with season_id, place_id or cultivar_id; leave those out, or plant_id where it isn't known which plant")
		}
		return c.plant("/plant_id", *plantID)
	}
	if u.SeasonID == nil || u.PlaceID == nil || u.CultivarID == nil {
		c.fault("/plant_id", "is missing; name the plant, or season_id, place_id and cultivar_id where it isn't known which one")
		return nil, nil, false
	}
	c.season("/season_id", *u.SeasonID)
	c.place("/place_id", *u.PlaceID)
	if _, ok := c.cultivar("/cultivar_id", *u.CultivarID); !ok {
		return nil, nil, false
	}
	scale, ok := c.scale("/cultivar_id", *u.CultivarID)
	return &Plant{PlaceID: *u.PlaceID}, scale, ok
}

// ScaleOf returns the scale of a cultivar.
func ScaleOf(refs CultivarRefs, cultivar ID) (*Scale, bool) {
	v, ok := refs.Cultivar(cultivar)
	if !ok {
		return nil, false
	}
	return refs.Scale(v.Scale())
}

func (c *checker) stage(pointer, stage string, scale *Scale) {
	if scale.Index(stage) < 0 {
		c.fault(pointer, "is %s, which is not a stage of the plant's scale; use one of %s", quoted(stage), list(scale.Names()))
	}
}

// moment places m in the zone where the plant stood and refuses times before it was there or in the future. Without a
// plant it stays in the zone it came with.
func (c *checker) moment(pointer string, m *Moment, plant *Plant) {
	if !c.needMoment(pointer, *m) {
		return
	}
	if plant != nil {
		*m = m.In(LocationAt(plant, *m, c.refs))
		if since := plant.Since(); since != nil && m.LocalDate().Before(*since) {
			c.fault(pointer, "is %s, before the plant was %s, %s; mend this day, or the plant's", m, plant.began(), since)
		}
	} else if !m.TimeKnown() { // no place says in which zone it is that day
		c.dayPast(pointer, &m.Day)
		return
	}
	c.notFuture(pointer, *m)
}

func (c *checker) needMoment(pointer string, m Moment) bool {
	if m.IsZero() {
		c.fault(pointer, "is missing; give a time as RFC 3339 with an offset, or a day as YYYY-MM-DD")
	}
	return !m.IsZero()
}

func (c *checker) notFuture(pointer string, m Moment) {
	if !m.Within(c.now) {
		c.fault(pointer, "is %s, which is in the future (it is now %s); mend it, or record it once it has happened", m, InstantMoment(c.now.In(m.At.Location())))
	}
}

func (c *checker) needDay(pointer string, d *Date) {
	if d == nil {
		c.fault(pointer, "is missing; give a day as YYYY-MM-DD")
	}
}

// dayPast refuses days after today. A day is allowed while it is that day anywhere on Earth, since a bare date has no
// zone here.
func (c *checker) dayPast(pointer string, d *Date) {
	if latest := DateOf(c.now.UTC().Add(14 * time.Hour)); d != nil && d.After(latest) {
		c.fault(pointer, "is %s, which is in the future; mend it, or record it once it has happened", d)
	}
}

func (c *checker) dayOrder(pointer string, d, after *Date, what string) {
	if d != nil && after != nil && d.Before(*after) {
		c.fault(pointer, "is %s, before the plant was %s, %s; mend one of the two days", d, what, after)
	}
}

func (c *checker) fruit(pointer string, n *int) { c.wholeBetween(pointer, n, 0, MaxFruit, "fruit") }

func (c *checker) needWhole(pointer string, n *int, what string) {
	if n == nil {
		c.fault(pointer, "is missing; give the %s", what)
	}
}

func (c *checker) wholeBetween(pointer string, n *int, low, high int, unit string) {
	if n != nil && (*n < low || *n > high) {
		c.fault(pointer, "is %d; it must be %d to %d %s", *n, low, high, unit)
	}
}

func (c *checker) between(pointer string, x *float64, low, high float64, unit string) {
	if x == nil {
		return
	}
	if math.IsNaN(*x) || *x < low || *x > high {
		c.fault(pointer, "is %s; it must be %s to %s %s", number(*x), number(low), number(high), unit)
	}
}

// pointer joins JSON pointer parts, escaping as RFC 6901 says.
func pointer(parts ...any) string {
	var b strings.Builder
	for _, p := range parts {
		b.WriteByte('/')
		s := fmt.Sprint(p)
		b.WriteString(strings.ReplaceAll(strings.ReplaceAll(s, "~", "~0"), "/", "~1"))
	}
	return b.String()
}

// quoted is text as it was sent, in quotes and cut short.
func quoted(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) <= most {
		return strconv.Quote(s)
	}
	return strconv.Quote(string([]rune(s)[:most])) + "…"
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func list[S ~string](names []S) string {
	parts := make([]string, len(names))
	for i, n := range names {
		parts[i] = string(n)
	}
	return strings.Join(parts, ", ")
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }
