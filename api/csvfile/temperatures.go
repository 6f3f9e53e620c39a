package csvfile

import "vinetally/analytics/crop"

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
