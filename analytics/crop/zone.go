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

// Zone is the zone of the season's places if they share one, else UTC.
func (t *Trial) Zone() *time.Location {
	var loc *time.Location
	for i := range t.Places {
		l := t.Places[i].Location()
		if loc != nil && l.String() != loc.String() {
			return time.UTC
		}
		loc = l
	}
	if loc == nil {
		return time.UTC
	}
	return loc
}
