package csvfile

import (
	"fmt"
	"time"

	"vinetally/analytics/crop"
)

var temperatureTable = &table[crop.Temperature]{
	file: temperaturesFile, noun: "reading", key: "place+measured_at",
	columns: []column[crop.Temperature]{
		placeColumn(mustGiven, func(n *registry, t *crop.Temperature) string { return n.placeName(&t.PlaceID) },
			func(t *crop.Temperature, id *crop.ID) { t.PlaceID = orZero(id) }),
		{name: "measured_at", need: mustGiven, read: readInstant, write: func(n *registry, t *crop.Temperature) string {
			return n.momentText(crop.InstantMoment(t.MeasuredAt), nil, &t.PlaceID)
		}},
		numberColumn("air_c", mustGiven, func(t *crop.Temperature) **float64 { return &t.AirC }),
	},
}

// readInstant reads the time of a reading. Unlike other records it can't do with a day alone.
func readInstant(c *cell, t *crop.Temperature) {
	m := c.moment(c.zone)
	if !m.IsZero() && !m.TimeKnown() {
		c.fault("%s is a day without a time; a reading needs the time, such as %sT08:15", m, m)
		return
	}
	t.MeasuredAt = m.At
}

type temperatureKey struct {
	place crop.ID
	at    int64
}

func keyOfTemperature(t *crop.Temperature) temperatureKey {
	return temperatureKey{t.PlaceID, t.MeasuredAt.UnixMilli()}
}

// temperatureRows holds the readings until all are known, since only then is it known which stored ones to ask for.
type temperatureRows struct {
	*book[temperatureKey, crop.Temperature]
	entries []temperatureEntry
}

type temperatureEntry struct {
	record *crop.Temperature
	at     rowRef
	h      *header
}

func newTemperatureRows() *temperatureRows {
	return &temperatureRows{book: newBook[temperatureKey, crop.Temperature]("reading", temperatureTable.key)}
}

func (k *temperatureRows) take(c *cell, h *header, cells []string) {
	r := &crop.Temperature{ID: idCell(c, h, cells)}
	temperatureTable.fill(c, h, cells, r)
	if c.faults == 0 {
		k.entries = append(k.entries, temperatureEntry{r, c.at, h})
	}
}

func (k *temperatureRows) finish(im *importer) {
	k.loadStored(im)
	ids := false
	for i := range k.entries {
		if im.stopped() {
			return
		}
		e := &k.entries[i]
		stored, column, problem := k.match(im, keyOfTemperature(e.record), e.record.ID, e.at, identity[crop.Temperature])
		ids = ids || !e.record.ID.IsZero() && stored == nil
		switch {
		case problem != "":
			im.fault(e.at, column, "%s", problem)
			continue
		case stored != nil:
			e.record.ID = stored.ID
		case e.record.ID.IsZero():
			e.record.ID = im.store.NewID()
		}
		if im.check(e.record, e.at) {
			settle(im, temperatureTable, e.h, e.at, e.record, stored, func() { im.addChange(e.record, e.at) })
		}
	}
	k.checkDoubles(im)
	k.checkInstants(im)
	if ids {
		k.checkForeign(im)
	}
}

// checkInstants refuses two readings of one place at one time, each with its own id.
func (k *temperatureRows) checkInstants(im *importer) {
	seen := map[temperatureKey]rowRef{}
	for i := range k.entries {
		e := &k.entries[i]
		key := keyOfTemperature(e.record)
		if other, twice := seen[key]; twice && k.claims[e.record.ID] == e.at {
			im.fault(e.at, k.keyColumns, "another reading of this place and time stands in %s; a place has one reading at a time", im.where(other, e.at))
		}
		seen[key] = e.at
	}
}

// loadStored loads what is stored of the places and times that the rows are of.
func (k *temperatureRows) loadStored(im *importer) {
	type span struct{ from, to time.Time }
	spans := map[crop.ID]span{}
	for i := range k.entries {
		r := k.entries[i].record
		s, ok := spans[r.PlaceID]
		if !ok || r.MeasuredAt.Before(s.from) {
			s.from = r.MeasuredAt
		}
		if !ok || r.MeasuredAt.After(s.to) {
			s.to = r.MeasuredAt
		}
		spans[r.PlaceID] = s
	}
	for place, s := range spans {
		if im.kinds.places.byID[place] != nil {
			rows := im.temperatures(place, s.from, s.to)
			for i := range rows {
				k.addStored(keyOfTemperature(&rows[i]), rows[i].ID, &rows[i])
			}
		}
	}
}

func (im *importer) temperatures(place crop.ID, from, to time.Time) []crop.Temperature {
	if im.err != nil {
		return nil
	}
	rows, err := im.store.Temperatures(im.ctx, place, from, to)
	if err != nil {
		im.err = gone(fmt.Errorf("read temperatures: %w", err))
	}
	return rows
}

// The earliest and latest time that a record can have.
var (
	earliest = time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)
	latest   = time.Date(3000, 1, 1, 0, 0, 0, 0, time.UTC)
)

// checkForeign refuses ids of stored readings of other places or times.
func (k *temperatureRows) checkForeign(im *importer) {
	unknown := map[crop.ID]rowRef{}
	k.unknown(unknown)
	for place := range im.kinds.places.byID {
		for _, r := range im.temperatures(place, earliest, latest) {
			if at, ok := unknown[r.ID]; ok {
				im.fault(at, "id", "is the id of a reading of another place or time; leave it empty to store another reading")
			}
		}
	}
}
