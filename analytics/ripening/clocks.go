package ripening

import (
	"bytes"
	"cmp"
	"math"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/thermal"
)

// advance is what the clocks count in a stretch of time. Each rate may be raised to a power 1+κ to fit a cultivar; the slopes are the
// counts' derivatives with respect to κ at 0, Σ r·ln r, so that a count is taken as count + κ·slope.
type advance struct {
	growing, growingSlope     float64 // standard days of growing
	colouring, colouringSlope float64 // of colouring
	days                      float64 // of 24 hours
}

func (a advance) scaled(by float64) advance {
	return advance{a.growing * by, a.growingSlope * by, a.colouring * by, a.colouringSlope * by, a.days * by}
}

// grown and coloured are the counts at a plant's exponents.
func (a advance) grown(c *chain) float64 { return math.Max(0, a.growing+c.growing*a.growingSlope) }
func (a advance) coloured(c *chain) float64 {
	return math.Max(0, a.colouring+c.colouring*a.colouringSlope)
}

// Clocks are the thermal clocks of a trial's places. A place without readings counts calendar days, and so does one that was read less
// often than once a day in more than half of the time from its first reading to the last: two cold mornings don't say how warm a spring
// was. The clocks of a place reach staleDays before its first reading and beyond its last; time further off counts calendar days too.
type Clocks struct {
	places map[crop.ID]*placeClocks
	names  crop.PlaceRefs
	// Unused is how many readings there are of places where they make no clock: too few, too far apart, or none that can be the air around
	// a plant.
	Unused int
	// Frost are the coldest readings, of places that were colder than plants live through.
	Frost []crop.Temperature
}

type placeClocks struct {
	growing, growingSlope, colouring, colouringSlope *thermal.Clock
	from, to                                         time.Time // that they reach
}

// What readings have to do to make a clock: to be at most dailyGap apart in a share leastTold of the time from the first to the last, and for
// fewestDays. Judgements.
const (
	dailyGap  = 36 * time.Hour
	leastTold = 0.5
)

// killingFrost is a temperature, °C, that tomato plants don't live through (common practice).
const killingFrost = -3

// carries tells whether readings carry a clock.
func carries(c *thermal.Clock) bool {
	first, last := c.Span()
	told := last.Sub(first)
	for _, g := range c.Gaps() {
		if length := g.To.Sub(g.From); length > dailyGap {
			told -= length
		}
	}
	return told >= fewestDays*24*time.Hour && float64(told) >= leastTold*float64(last.Sub(first))
}

// NewClocks makes the clocks of every place with readings.
func NewClocks(readings []crop.Temperature, names crop.PlaceRefs) *Clocks {
	byPlace, coldest := map[crop.ID][]thermal.Reading{}, map[crop.ID]crop.Temperature{}
	for _, r := range readings {
		if r.AirC != nil {
			byPlace[r.PlaceID] = append(byPlace[r.PlaceID], thermal.Reading{At: r.MeasuredAt, AirC: *r.AirC})
			if c, ok := coldest[r.PlaceID]; *r.AirC <= killingFrost && (!ok || *r.AirC < *c.AirC) {
				coldest[r.PlaceID] = r
			}
		}
	}
	k := &Clocks{places: map[crop.ID]*placeClocks{}, names: names}
	for _, r := range coldest {
		k.Frost = append(k.Frost, r)
	}
	slices.SortFunc(k.Frost, func(a, b crop.Temperature) int {
		return cmp.Or(a.MeasuredAt.Compare(b.MeasuredAt), bytes.Compare(a.PlaceID[:], b.PlaceID[:]))
	})
	growing, colouring := thermal.Growing(), thermal.Colouring()
	for place, all := range byPlace {
		air := thermal.NewAir(all)
		c := &placeClocks{growing: air.Clock(growing.At), growingSlope: air.Clock(slope(growing)), colouring: air.Clock(colouring.At), colouringSlope: air.Clock(slope(colouring))}
		if carries(c.growing) {
			first, last := c.growing.Span()
			c.from, c.to = first.AddDate(0, 0, -staleDays), last.AddDate(0, 0, staleDays)
			k.places[place] = c
		} else {
			k.Unused += len(all)
		}
	}
	return k
}

// slope is the derivative of rate^(1+κ) with respect to κ at 0.
func slope(r *thermal.Rate) thermal.Speed {
	return func(airC float64) (float64, float64) {
		rate, _ := r.At(airC)
		if rate <= 0 {
			return 0, 0
		}
		return rate * math.Log(rate), 0
	}
}

// Thermal tells whether any place has a clock.
func (k *Clocks) Thermal() bool { return len(k.places) > 0 }

// between is what a plant's clocks count from one instant to another, each place's while it stood there.
func (k *Clocks) between(p *crop.Plant, from, to time.Time) advance {
	var sum advance
	at := func(place crop.ID, a, b time.Time) {
		if !a.Before(b) {
			return
		}
		days := b.Sub(a).Hours() / 24
		sum.days += days
		c := k.places[place]
		if c != nil {
			told := c.reached(&a, &b)
			days -= told.Hours() / 24
		}
		sum.growing, sum.colouring = sum.growing+days, sum.colouring+days
		if c == nil || !a.Before(b) {
			return
		}
		sum.growing += c.growing.Between(a, b).Count
		sum.growingSlope += c.growingSlope.Between(a, b).Count
		sum.colouring += c.colouring.Between(a, b).Count
		sum.colouringSlope += c.colouringSlope.Between(a, b).Count
	}
	place, start := p.PlaceID, from
	for _, m := range p.Moves {
		moved := m.On.Start(k.location(m.PlaceID))
		if moved.After(start) {
			end := moved
			if end.After(to) {
				end = to
			}
			at(place, start, end)
			start = end
		}
		place = m.PlaceID
	}
	at(place, start, to)
	return sum
}

// reached cuts a stretch of time down to what the clocks reach, and returns how long that is.
func (c *placeClocks) reached(a, b *time.Time) time.Duration {
	if a.Before(c.from) {
		*a = c.from
	}
	if b.After(c.to) {
		*b = c.to
	}
	return max(0, b.Sub(*a))
}

func (k *Clocks) location(place crop.ID) *time.Location {
	if p, ok := k.names.Place(place); ok {
		return p.Location()
	}
	return time.UTC
}

// Named is the zone and the name of a place.
func (k *Clocks) Named(place crop.ID) (*time.Location, string) {
	if p, ok := k.names.Place(place); ok {
		return p.Location(), p.Name
	}
	return time.UTC, "A place"
}
