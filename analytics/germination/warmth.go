package germination

import (
	"vinetally/analytics/crop"
	"vinetally/analytics/thermal"
)

// leastReadings is how many readings a mean temperature wants: four a day over a week.
const leastReadings = 28

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
	mean, n, left := meanAir(readings)
	if left > 0 {
		l.warn("%d of %d temperature readings from sowing to the last seedling can't be the air around the seed and are left out.", left, len(readings))
	}
	if n < leastReadings {
		l.warn("There are %d temperature readings from sowing to the last seedling where it came up; with %d or more the published table could be looked up.", n, leastReadings)
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

// meanAir is the mean over time, °C, between the first reading and the last, with gaps filled as the thermal clock fills them, and how many
// readings it rests on and leaves out.
func meanAir(readings []thermal.Reading) (mean float64, kept, left int) {
	used, out := thermal.Screen(readings)
	if len(used) < 2 {
		return 0, len(used), len(out)
	}
	degrees := thermal.NewClock(func(airC float64) (float64, float64) { return airC, 0 }, used)
	first, last := used[0].At, used[len(used)-1].At
	return degrees.Between(first, last).Count / (last.Sub(first).Hours() / 24), len(used), len(out)
}
