package ripening

import (
	"math"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/thermal"
)

// Weather is how warm it will be at a plant's place: what the clocks count a day, and how unsure that is.
//
// What was counted on each of the last days is taken as a level that drifts with the season, with a first-order autoregression about it (see
// series). What is counted over n days ahead is normal.
type Weather struct {
	// Growing and Colouring are the expected counts of each day ahead; Spread is the relative standard deviation of the sum up to it.
	Growing, Colouring           []float64
	growingSlope, colouringSlope []float64
	Spread                       []float64
	// Days is how many days of the past it rests on; 0 where there are no readings and every day counts one, and where it is Thin.
	Days int
	// ByHand is how many of them rest on readings hours apart, as someone takes them by hand.
	ByHand int
	// Thin tells that readings are too few or too long ago to tell one day from another: every day ahead counts what the last fortnight
	// counted by them, as the days behind did.
	Thin bool
	// Given tells that the user said how warm it will be.
	Given bool
}

const (
	weatherDays = 90
	fewestDays  = 5
	thinDays    = 14
	// staleDays is how far readings reach: how many days ago the last day with readings may be that tells of the days ahead. The drift of a season
	// is not to be drawn out further.
	staleDays = 30
	// The relative standard deviations of what is counted are judgements: where nobody measures; where readings are a day apart or more, which
	// miss the nights or the days; and what readings by hand leave open, by how far the usual hours are out (thermal.SparseGap).
	calendarSpread = 0.1
	thinSpread     = 0.2
	handSpread     = 0.05
)

// NewWeather forecasts for the place where a plant stands at asOf.
func (k *Clocks) NewWeather(p *crop.Plant, asOf time.Time, days int) Weather {
	return k.placeWeather(k.PlaceAt(p, asOf), asOf, days)
}

// PlaceAt is where a plant stands on the day of an instant, by the clock of the place where it stood at first.
func (k *Clocks) PlaceAt(p *crop.Plant, at time.Time) crop.ID {
	return p.PlaceOn(crop.DateOf(at.In(k.location(p.PlaceID))))
}

func (k *Clocks) placeWeather(place crop.ID, asOf time.Time, days int) Weather {
	at := &crop.Plant{PlaceID: place}
	var w Weather
	c := k.places[place]
	if c == nil {
		for range days {
			w.add(advance{growing: 1, colouring: 1}, 1, 1, calendarSpread)
		}
		return w
	}
	var past []advance
	var day []float64
	for d := weatherDays; d > 0; d-- {
		to := asOf.Add(-time.Duration(d-1) * 24 * time.Hour)
		from := to.Add(-24 * time.Hour)
		told, byHand := c.told(from, to)
		if !told {
			continue
		}
		past, day = append(past, k.between(at, from, to)), append(day, float64(-d))
		if byHand {
			w.ByHand++
		}
	}
	if len(past) < fewestDays || day[len(day)-1] < -staleDays {
		w.ByHand, w.Thin = 0, true
		recent := k.between(at, asOf.Add(-thinDays*24*time.Hour), asOf).scaled(1. / thinDays)
		for range days {
			w.add(recent, 1, 1, thinSpread)
		}
		return w
	}
	w.Days = len(past)
	left := handSpread * float64(w.ByHand) / float64(w.Days)
	g, s := autoregress(past, day, func(a advance) float64 { return a.growing }, days)
	cs, _ := autoregress(past, day, func(a advance) float64 { return a.colouring }, days)
	var mean advance
	for _, a := range past {
		mean.growing += a.growing / float64(len(past))
		mean.growingSlope += a.growingSlope / float64(len(past))
		mean.colouring += a.colouring / float64(len(past))
		mean.colouringSlope += a.colouringSlope / float64(len(past))
	}
	for d := range days {
		w.add(mean, ratio(g[d], mean.growing), ratio(cs[d], mean.colouring), math.Hypot(s[d], left))
	}
	return w
}

func ratio(a, b float64) float64 {
	if b <= 0 {
		return 1
	}
	return math.Max(0.05, a/b)
}

func (w *Weather) add(mean advance, growing, colouring, spread float64) {
	w.Growing = append(w.Growing, mean.growing*growing)
	w.Colouring = append(w.Colouring, mean.colouring*colouring)
	w.growingSlope = append(w.growingSlope, mean.growingSlope*growing)
	w.colouringSlope = append(w.colouringSlope, mean.colouringSlope*colouring)
	w.Spread = append(w.Spread, spread)
}

// prolonged goes on with the last day's counts to so many days.
func (w *Weather) prolonged(days int) *ahead {
	long := Weather{}
	for d := range days {
		k := min(d, len(w.Growing)-1)
		long.Growing, long.Colouring = append(long.Growing, w.Growing[k]), append(long.Colouring, w.Colouring[k])
		long.growingSlope, long.colouringSlope = append(long.growingSlope, w.growingSlope[k]), append(long.colouringSlope, w.colouringSlope[k])
		long.Spread = append(long.Spread, w.Spread[k])
	}
	return long.ahead(0)
}

// weekly is the time to come in the weather's days and, as prolonged goes on, in steps of a week, then of two, to laterDays and in two longer ones, 200
// days in all, by whose end all fruit of now is ripe or gone but in the cold.
func (w *Weather) weekly() *ahead {
	a := w.ahead(0)
	day := a.steps[len(a.steps)-1]
	at := len(a.steps)
	for at < laterDays {
		step := 7
		if at >= manyWeeks {
			step = 14
		}
		step = min(step, laterDays-at)
		a.steps = append(a.steps, day.scaled(float64(step)))
		at += step
	}
	for _, step := range []int{28, 60} {
		a.steps = append(a.steps, day.scaled(float64(step)))
	}
	return a
}

// manyWeeks is from which day ahead steps of a fortnight do.
const manyWeeks = 56

// AtTemperature is the weather where the user says how warm it will be, the same all day and every day; one degree either way is left
// open.
func AtTemperature(airC float64, days int) Weather {
	growing, colouring := thermal.Growing(), thermal.Colouring()
	g, _ := growing.At(airC)
	c, _ := colouring.At(airC)
	gs, _ := slope(growing)(airC)
	cs, _ := slope(colouring)(airC)
	warmer, _ := growing.At(airC + givenC)
	cooler, _ := growing.At(airC - givenC)
	w := Weather{Given: true}
	sd := calendarSpread
	if g > 0 {
		sd = math.Hypot((warmer-cooler)/2/g, clockSpread)
	}
	for range days {
		w.add(advance{growing: g, growingSlope: gs, colouring: c, colouringSlope: cs}, 1, 1, sd)
	}
	return w
}

// givenC is the standard deviation of a temperature that the user gives for the days ahead, °C (a judgement).
const givenC = 1

// told tells whether readings cover most of a stretch, and whether most of that is between readings hours apart.
func (c *placeClocks) told(from, to time.Time) (told, byHand bool) {
	a := c.growing.Between(from, to)
	return a.Measured+a.Sparse >= to.Sub(from)/2, a.Sparse > a.Measured
}

// clockSpread is the relative standard deviation that a clock's response to temperature adds over some days.
const clockSpread = 0.03

// ahead is the time to come in steps, the sum up to each day z standard deviations from the expected.
func (w *Weather) ahead(z float64) *ahead {
	a := &ahead{perDay: 1}
	g, c := 0.0, 0.0 // sums as expected
	gz, cz := 0.0, 0.0
	for d := range w.Growing {
		g, c = g+w.Growing[d], c+w.Colouring[d]
		f := math.Max(0.05, 1+z*w.Spread[d])
		nextG, nextC := math.Max(gz, g*f), math.Max(cz, c*f)
		stepG, stepC := nextG-gz, nextC-cz
		gz, cz = nextG, nextC
		step := advance{growing: stepG, colouring: stepC, growingSlope: w.growingSlope[d] * ratio(stepG, w.Growing[d]), colouringSlope: w.colouringSlope[d] * ratio(stepC, w.Colouring[d]), days: 1}
		for range a.perDay {
			a.steps = append(a.steps, step.scaled(1/float64(a.perDay)))
		}
	}
	return a
}
