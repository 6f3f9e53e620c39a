package crop

import (
	"fmt"
	"math"
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
