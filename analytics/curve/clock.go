package curve

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/thermal"
)

// ClockKind says what a day of a curve is.
type ClockKind string

// The clocks.
const (
	CalendarClock ClockKind = "calendar" // 24 hours
	ThermalClock  ClockKind = "thermal"  // a standard day: the growing done in one day at thermal.ReferenceC
)

// ReferenceC is the temperature at which a day of the thermal clock is a day, °C.
const ReferenceC = thermal.ReferenceC

// What readings have to do before temperature is preferred to the calendar. Judgements.
const (
	// leastMeasured is the share of the time between a plant's first count and its last that they have to cover, gaps that aren't too wide
	// counting as covered.
	leastMeasured = 0.8
	// widestGap is how long a gap may be that the course of the place's other days fills; one that has only a straight line may be of
	// thermal.SparseGap.
	widestGap = 3 * day
)

// Clocks are what a season's curves count time by. The zero value is the calendar.
//
// All stages are counted by the rate of growing (thermal.Growing): a curve runs from sowing, and all but its last days are growth of
// the fruit, not colouring.
type Clocks struct {
	places map[crop.ID]*thermal.Clock
	names  crop.PlaceRefs
	given  int                 // readings
	left   map[thermal.Why]int // readings left out
}

// NewClocks makes a thermal clock for every place that has readings; names are the places.
func NewClocks(readings []crop.Temperature, names crop.PlaceRefs) Clocks {
	byPlace := map[crop.ID][]thermal.Reading{}
	for _, r := range readings {
		if r.AirC != nil {
			byPlace[r.PlaceID] = append(byPlace[r.PlaceID], thermal.Reading{At: r.MeasuredAt, AirC: *r.AirC})
		}
	}
	k := Clocks{places: map[crop.ID]*thermal.Clock{}, names: names, left: map[thermal.Why]int{}}
	rate := thermal.Growing()
	for place, all := range byPlace {
		c := thermal.NewClock(rate.At, all)
		k.given += len(all)
		for _, l := range c.LeftOut() {
			k.left[l.Why]++
		}
		if !c.Calendar() {
			k.places[place] = c
		}
	}
	return k
}

// noReadings counts calendar days.
var noReadings = thermal.NewClock(thermal.Growing().At, nil)

// Kind is thermal if there are readings at all.
func (k Clocks) Kind() ClockKind {
	if len(k.places) == 0 {
		return CalendarClock
	}
	return ThermalClock
}

// Preferred is k where its readings carry the counts of these plants, which is at least four fifths of the time from each plant's first
// count to its last; else the calendar, and why in words without an end.
func (k Clocks) Preferred(plants []crop.PlantRecords) (Clocks, string) {
	if k.Kind() == CalendarClock {
		return Clocks{}, k.unused()
	}
	short := 0
	for i := range plants {
		v := plants[i].Visits
		if len(v) < 2 {
			continue
		}
		from, to := v[0].CountedAt.At, v[len(v)-1].CountedAt.At
		track := k.track(plants[i].Plant)
		c := track.Between(from, to).Coverage
		if covered := c.Measured + c.Filled - wide(track, from, to); float64(covered) < leastMeasured*float64(to.Sub(from)) {
			short++
		}
	}
	if short > 0 {
		return Clocks{}, fmt.Sprintf("for %s temperature readings cover less than four fifths of the time between first and last count (readings in the morning and in the afternoon cover a day)",
			phrasePlants(short))
	}
	return k, ""
}

// wide is the time between two instants that lies in gaps too wide to count as covered, at the places where a plant stood.
func wide(t thermal.Track, from, to time.Time) (sum time.Duration) {
	for i, stay := range t {
		a, b := from, to
		if i > 0 {
			a = later(a, stay.From)
		}
		if i+1 < len(t) {
			b = earlier(b, t[i+1].From)
		}
		for _, g := range stay.Clock.Gaps() {
			if length := g.To.Sub(g.From); length > widestGap || !g.Shaped && length > thermal.SparseGap {
				sum += max(0, earlier(b, g.To).Sub(later(a, g.From)))
			}
		}
	}
	return sum
}

func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// track is where a plant stood; a place without readings counts calendar days.
func (k Clocks) track(p *crop.Plant) thermal.Track {
	stay := func(place crop.ID, from time.Time) thermal.Stay {
		c := k.places[place]
		if c == nil {
			c = noReadings
		}
		return thermal.Stay{From: from, Clock: c}
	}
	t := thermal.Track{stay(p.PlaceID, time.Time{})}
	for _, m := range p.Moves {
		place, _ := k.names.Place(m.PlaceID)
		t = append(t, stay(m.PlaceID, m.On.Start(place.Location())))
	}
	return t
}

// timeline turns instants into days since an origin and back. The zero value counts calendar days.
type timeline struct {
	tracks []thermal.Track // of the plants of a series, each different one once
	plants []float64       // how many plants follow each
	of     []int           // which a plant follows, by its place in members
}

func (k Clocks) timeline(members []plantBook) timeline {
	if k.Kind() == CalendarClock {
		return timeline{}
	}
	var t timeline
	known := map[string]int{}
	for _, m := range members {
		p := m.records.Plant
		var key strings.Builder
		fmt.Fprint(&key, p.PlaceID)
		for _, move := range p.Moves {
			fmt.Fprint(&key, " ", move.On, move.PlaceID)
		}
		i, seen := known[key.String()]
		if !seen {
			i = len(t.tracks)
			known[key.String()] = i
			t.tracks, t.plants = append(t.tracks, k.track(p)), append(t.plants, 0)
		}
		t.plants[i]++
		t.of = append(t.of, i)
	}
	return t
}

func (t timeline) thermal() bool { return len(t.tracks) > 0 }

// days is what the clock of a member counts from the origin to an instant.
func (t timeline) days(member int, origin, at time.Time) float64 {
	if !t.thermal() {
		return daysBetween(origin, at)
	}
	return t.tracks[t.of[member]].Between(origin, at).Count
}

// mean is what the clocks of all plants count from the origin to an instant, in the mean.
func (t timeline) mean(origin, at time.Time) (count, standardError float64) {
	n := 0.0
	for i, track := range t.tracks {
		a := track.Between(origin, at)
		count += t.plants[i] * a.Count
		standardError += t.plants[i] * a.StandardError
		n += t.plants[i]
	}
	return count / n, standardError / n
}

// when is the instant at which the mean of the clocks has counted x, to the minute; at most some centuries from the origin.
func (t timeline) when(origin time.Time, x float64) time.Time {
	if !t.thermal() {
		return origin.Add(time.Duration(x * float64(day))).Round(time.Minute)
	}
	count := func(minute int) float64 {
		n, _ := t.mean(origin, origin.Add(time.Duration(minute)*time.Minute))
		return n
	}
	// An interval of minutes that holds x, around where a clock of the calendar would be, and then ever closer: by the straight line
	// between its ends, every third time by halves.
	const century, widest = 100 * 366 * 24 * 60, 1 << 27
	guess := int(min(max(x*24*60, -century), century))
	lo, hi := guess-1, guess
	for step := 24 * 60; count(lo) >= x && step < widest; step *= 2 {
		lo, hi = lo-step, lo
	}
	for step := 24 * 60; count(hi) < x && step < widest; step *= 2 {
		lo, hi = hi, hi+step
	}
	from, to := count(lo), count(hi)
	for turn := 1; hi-lo > 1; turn++ {
		mid := lo + (hi-lo)/2
		if turn%3 != 0 && to > from {
			mid = min(max(lo+int(float64(hi-lo)*(x-from)/(to-from)), lo+1), hi-1)
		}
		if n := count(mid); n >= x {
			hi, to = mid, n
		} else {
			lo, from = mid, n
		}
	}
	return origin.Add(time.Duration(hi) * time.Minute)
}

// restsOn says, in days, what of the time from the origin to the last count the clock filled, what of that lies between readings that someone
// takes by hand, and what it assumed.
func (t timeline) restsOn(origin time.Time, last time.Time) (filled, byHand, assumed float64) {
	n := 0.0
	for i, track := range t.tracks {
		c := track.Between(origin, last).Coverage
		filled += t.plants[i] * c.Filled.Hours() / 24
		byHand += t.plants[i] * c.Sparse.Hours() / 24
		assumed += t.plants[i] * c.Assumed.Hours() / 24
		n += t.plants[i]
	}
	return filled / n, byHand / n, assumed / n
}

// assumedShown is how many days of a curve the clock may have filled or assumed before its warnings say so.
const assumedShown = 1

// warnings says what the clock assumed.
func (t timeline) warnings(origin, last time.Time) []string {
	if !t.thermal() {
		return nil
	}
	var out []string
	filled, byHand, assumed := t.restsOn(origin, last)
	if filled >= assumedShown {
		out = append(out, fmt.Sprintf("Of the time counted by temperature %s in gaps of more than three hours between readings; they were filled with the course of the place's days without gaps, or evenly where it has too few of those.", phraseDays(filled)))
	}
	if byHand > daysBetween(origin, last)/2 {
		out = append(out, "Most of the temperature is known by a few readings a day: standard days may be out by a twentieth, and by a sixth where days and nights differ by 16 °C; calendar days and moments hardly are.")
	}
	if assumed >= assumedShown {
		out = append(out, fmt.Sprintf("Of the time counted by temperature %s before the first reading or after the last, or at a place without any: as warm as the first or last week of readings was assumed, and without any a standard day a day.", phraseDays(assumed)))
	}
	return out
}

func phraseDays(days float64) string {
	if n := math.Round(days); n != 1 {
		return fmt.Sprintf("%.0f days lie", n)
	}
	return "one day lies"
}

// Describe says in sentences what the clock is and what of the readings it doesn't use.
func (k Clocks) Describe() []string {
	if k.Kind() == CalendarClock {
		return nil
	}
	table := thermal.Growing().Table()
	out := []string{fmt.Sprintf("Days are standard days: the growing done in one day at %d °C. The rate at other temperatures is that %s (%s); it holds for temperatures that hardly change, and fruit answer most late in their growth.",
		thermal.ReferenceC, table.Phase, table.Source)}
	if left, why := k.leftOut(); left > 0 {
		noun := "temperature readings are"
		if left == 1 {
			noun = "temperature reading is"
		}
		out = append(out, fmt.Sprintf("%d %s left out of the clock: %s.", left, noun, why))
	}
	return out
}

// unused says why there is no clock: no readings, or none that can be used.
func (k Clocks) unused() string {
	left, why := k.leftOut()
	switch {
	case k.given == 0:
		return "no temperature readings of these places are recorded"
	case left == 0:
		return "it takes two temperature readings of a place at least"
	}
	return fmt.Sprintf("of %d temperature readings %d can't be used (%s; they have to be of the air, in °C)", k.given, left, why)
}

// leftOut is how many readings were left out and why, with their numbers, the most frequent first.
func (k Clocks) leftOut() (left int, why string) {
	whys := slices.SortedFunc(maps.Keys(k.left), func(a, b thermal.Why) int { return cmp.Or(cmp.Compare(k.left[b], k.left[a]), cmp.Compare(a, b)) })
	var reasons []string
	for _, w := range whys {
		left += k.left[w]
		reasons = append(reasons, fmt.Sprintf("%d %s", k.left[w], w))
	}
	return left, strings.Join(reasons, ", ")
}
