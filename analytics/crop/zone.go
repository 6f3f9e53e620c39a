package crop

import "time"

// LocationAt returns the zone of the place where the plant stood at m. Which place that is depends on the day, and the
// day on the zone: the zone of the first place tells the day of an instant, then the moves of that day count.
func LocationAt(p *Plant, m Moment, refs PlaceRefs) *time.Location {
	place, _ := refs.Place(PlaceAt(p, m, refs))
	return place.Location()
}

// PlaceAt returns the place where the plant stood at m.
func PlaceAt(p *Plant, m Moment, refs PlaceRefs) ID {
	day := m.Day
	if m.TimeKnown() {
		first, _ := refs.Place(p.PlaceID)
		day = DateOf(m.At.In(first.Location()))
	}
	return p.PlaceOn(day)
}
