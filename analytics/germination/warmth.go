package germination

import (
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/thermal"
)

// leastCovered is the share of the time from sowing to the last seedling that readings have to cover, those of someone who reads a thermometer
// twice a day too (thermal.SparseGap); a judgement.
const leastCovered = 0.5

// warm looks the published table up at the air's mean temperature from sowing to the last seedling, where that is known of one place.
// Where no plant names the lot, those of its cultivar and day of sowing are taken for its plants.
func (l *Lot) warm(t *crop.Trial) {
	places := map[crop.ID]bool{}
	for i := range t.Plants {
		p := &t.Plants[i]
		if p.CultivarID == l.CultivarID && (l.Plants == 0 || p.Lot == l.Lot) && p.SownOn != nil && *p.SownOn == l.SownOn {
			places[p.PlaceOn(l.SownOn)] = true
		}
	}
	if len(places) == 0 {
		l.warn("No plant of this cultivar and day of sowing is on record, so where the lot came up, and how warm it was, isn't known.")
		return
	}
	if len(places) != 1 {
		l.warn("Where the lot came up isn't on record of one place, so the published table can't be looked up at its temperature.")
		return
	}
	end := l.CountedOn
	if last := l.Indices.LastTime; last != nil {
		end = l.SownOn.AddDays(int(*last))
	}
	var readings []thermal.Reading
	for i := range t.Temperatures {
		r := &t.Temperatures[i]
		day := crop.DateOf(r.MeasuredAt)
		if places[r.PlaceID] && r.AirC != nil && !day.Before(l.SownOn) && !day.After(end) {
			readings = append(readings, thermal.Reading{At: r.MeasuredAt, AirC: *r.AirC})
		}
	}
	zone := time.UTC
	for id := range places {
		if place, ok := t.Place(id); ok {
			zone = place.Location()
		}
	}
	mean, covered, left := meanAir(readings, l.SownOn.Start(zone), end.Start(zone))
	if left > 0 {
		l.warn("%d of %d temperature readings from sowing to the last seedling can't be the air around the seed and are left out.", left, len(readings))
	}
	if covered < leastCovered {
		l.warn("Temperature readings cover %.0f %% of the time from sowing to the last seedling where it came up; with %.0f %% or more, read twice a day or more often, the published table could be looked up.",
			100*covered, 100*leastCovered)
		return
	}
	l.AirC = &mean
	p, ok := PublishedAt(*l.AirC)
	if !ok {
		l.warn("The published table has no emergence at %.1f °C.", *l.AirC)
		return
	}
	l.Published = &p
}

// meanAir is the mean over time, °C, between the first reading and the last, with gaps filled as the thermal clock fills them, the share of
// a stretch that readings cover, and how many are left out.
func meanAir(readings []thermal.Reading, from, to time.Time) (mean, covered float64, left int) {
	degrees := thermal.NewClock(func(airC float64) (float64, float64) { return airC, 0 }, readings)
	left = len(degrees.LeftOut())
	if degrees.Calendar() || !from.Before(to) {
		return 0, 0, left
	}
	c := degrees.Between(from, to)
	first, last := degrees.Span()
	return degrees.Between(first, last).Count / (last.Sub(first).Hours() / 24), float64(c.Measured+c.Sparse) / float64(to.Sub(from)), left
}
