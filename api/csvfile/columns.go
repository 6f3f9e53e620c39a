package csvfile

import (
	"time"

	"vinetally/analytics/crop"
)

// Columns that several files have. Each takes how the value is kept in the record.

func seasonColumn[T any](write func(*registry, *T) string, set func(*T, crop.ID)) column[T] {
	return column[T]{name: "season", need: mustGiven, text: true, write: write, read: func(c *cell, r *T) {
		if c.season = c.im.season(c, c.name()); c.season != nil {
			set(r, c.season.record.ID)
		}
	}}
}

func placeColumn[T any](need need, write func(*registry, *T) string, set func(*T, *crop.ID)) column[T] {
	return column[T]{name: "place", need: need, text: true, write: write, read: func(c *cell, r *T) {
		if c.trimmed() == "" {
			set(r, nil)
		} else if c.place = c.im.placeNamed(c, c.name()); c.place != nil {
			set(r, &c.place.ID)
		}
	}}
}

func cultivarColumn[T any](need need, write func(*registry, *T) string, set func(*T, *crop.ID)) column[T] {
	return column[T]{name: "cultivar", need: need, text: true, write: write, read: func(c *cell, r *T) {
		if c.trimmed() == "" {
			set(r, nil)
		} else if c.cultivar = c.im.cultivarNamed(c, c.name()); c.cultivar != nil {
			set(r, &c.cultivar.ID)
		}
	}}
}

// plantColumn names a plant of the row's season.
func plantColumn[T any](need need, write func(*registry, *T) string, set func(*T, *crop.ID)) column[T] {
	return column[T]{name: "plant", need: need, text: true, write: write, read: func(c *cell, r *T) {
		if c.trimmed() == "" {
			set(r, nil)
		} else if c.plant = c.im.plantNamed(c, c.trimmed()); c.plant != nil {
			set(r, &c.plant.record.ID)
		}
	}}
}

// momentColumn is a time, or a day alone, by the clock of the place that the row's plant or unit stood at.
func momentColumn[T any](name string, write func(*registry, *T) string, field func(*T) *crop.Moment) column[T] {
	return column[T]{name: name, need: mustGiven, write: write, read: func(c *cell, r *T) {
		*field(r) = c.moment(c.zone)
	}}
}

// zone is the zone of the place where the plant or unit of the row stood on a day. It is nil for a row of a whole season
// whose plants stand in several zones, which is a fault.
func (c *cell) zone(day crop.Date) *time.Location {
	switch {
	case c.plant != nil:
		place := c.im.registry.places[c.plant.record.PlaceOn(day)]
		return place.Location()
	case c.place != nil:
		return c.place.Location()
	case c.season == nil || c.faults > 0:
		return time.UTC
	}
	loc := c.im.registry.seasonZone(c.season.record.ID)
	if loc == nil {
		c.fault("the plants of season %q stand in several time zones; write the time with its offset", c.season.record.Name)
	}
	return loc
}

func textColumn[T any](name string, field func(*T) *string) column[T] {
	return column[T]{name: name, text: true,
		read:  func(c *cell, r *T) { *field(r) = c.name() },
		write: func(_ *registry, r *T) string { return *field(r) }}
}

func noteColumn[T any](name string, field func(*T) *string) column[T] {
	return column[T]{name: name, text: true,
		read:  func(c *cell, r *T) { *field(r) = c.note() },
		write: func(_ *registry, r *T) string { return *field(r) }}
}

func wholeColumn[T any](name string, need need, field func(*T) **int) column[T] {
	return column[T]{name: name, need: need,
		read:  func(c *cell, r *T) { *field(r) = c.whole() },
		write: func(_ *registry, r *T) string { return wholeText(*field(r)) }}
}

func numberColumn[T any](name string, need need, field func(*T) **float64) column[T] {
	return column[T]{name: name, need: need,
		read:  func(c *cell, r *T) { *field(r) = c.number() },
		write: func(_ *registry, r *T) string { return numberText(*field(r)) }}
}

func yesColumn[T any](name string, need need, field func(*T) *bool) column[T] {
	return column[T]{name: name, need: need,
		read:  func(c *cell, r *T) { *field(r) = c.yes() },
		write: func(_ *registry, r *T) string { return yesText(*field(r)) }}
}

func dateColumn[T any](name string, need need, field func(*T) **crop.Date) column[T] {
	return column[T]{name: name, need: need,
		read:  func(c *cell, r *T) { *field(r) = c.date() },
		write: func(_ *registry, r *T) string { return dateText(*field(r)) }}
}

// momentKey is a moment in a key: an instant in milliseconds, or a day alone.
type momentKey struct {
	at  int64
	day bool
}

func keyOfMoment(m crop.Moment) momentKey {
	if m.TimeKnown() {
		return momentKey{at: m.At.UnixMilli()}
	}
	return momentKey{at: int64(m.Day.Year)*10_000 + int64(m.Day.Month)*100 + int64(m.Day.Day), day: true}
}

func orZero(id *crop.ID) crop.ID {
	if id == nil {
		return crop.ID{}
	}
	return *id
}
