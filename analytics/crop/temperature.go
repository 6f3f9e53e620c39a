package crop

import "time"

// Temperature is one reading of the air at a place, °C. An absurd reading is kept, for a logger's fault is evidence too;
// only what no thermometer can show is refused.
type Temperature struct {
	ID         ID        `json:"id"`
	PlaceID    ID        `json:"place_id"`
	MeasuredAt time.Time `json:"measured_at"`
	AirC       *float64  `json:"air_c"`
}

func (t *Temperature) check(c *checker) {
	c.place("/place_id", t.PlaceID)
	if t.MeasuredAt.IsZero() {
		c.fault("/measured_at", "is missing; give the time of the reading as RFC 3339 with an offset")
	} else {
		// In UTC, since an offset such as +24:00 is read but can't be written.
		t.MeasuredAt = t.MeasuredAt.UTC().Truncate(time.Millisecond)
		if t.MeasuredAt.Year() < 1900 {
			c.fault("/measured_at", "is %s, before 1900; mend the logger's clock", Stamp(t.MeasuredAt))
		}
		c.notFuture("/measured_at", InstantMoment(t.MeasuredAt))
	}
	if t.AirC == nil {
		c.fault("/air_c", "is missing; give the temperature in °C")
	}
	c.between("/air_c", t.AirC, -273.15, 1000, "°C")
}
