package thermal

import (
	"math"
	"slices"
	"time"
)

// Speed is how much a clock counts in a day at a temperature, and the standard error of that. Rate.At is one, and
// Thresholds.Speed.
type Speed func(airC float64) (perDay, standardError float64)

// Speed counts degree-days; over hourly readings they are hourly sums: Σ clip(T)/24.
func (t Thresholds) Speed(airC float64) (perDay, standardError float64) { return t.clip(airC), 0 }

// Amount is what a clock counted in a stretch of time.
type Amount struct {
	Count         float64 // standard days, or degree-days
	StandardError float64 // of the rate alone, the same every day; readings are taken as true
	Coverage
}

// Coverage says what an amount rests on.
type Coverage struct {
	Measured time.Duration // between readings no more than three hours apart
	Filled   time.Duration // in gaps between readings
	Sparse   time.Duration // of Filled, in gaps of at most SparseGap
	Assumed  time.Duration // before the first reading or after the last, or at a place without any
}

func (a Amount) plus(b Amount) Amount {
	return Amount{a.Count + b.Count, a.StandardError + b.StandardError,
		Coverage{a.Measured + b.Measured, a.Filled + b.Filled, a.Sparse + b.Sparse, a.Assumed + b.Assumed}}
}

func (a Amount) minus(b Amount) Amount {
	return Amount{a.Count - b.Count, a.StandardError - b.StandardError,
		Coverage{a.Measured - b.Measured, a.Filled - b.Filled, a.Sparse - b.Sparse, a.Assumed - b.Assumed}}
}

// Clock counts at one place. Its count never falls, and adds up: what it counts from a to b and from b to c is what it counts
// from a to c.
type Clock struct {
	nodes  []node
	before Amount // of a day before the first node
	after  Amount // of a day after the last
	left   []LeftOut
	gaps   []Gap
	// Readings is how many it rests on.
	Readings int
}

// node is an instant with what was counted from the first node to it.
type node struct {
	at  time.Time
	sum Amount
}

// SparseGap is the longest gap that readings leave that someone takes by hand, twice a day or more often, such as of a thermometer of the
// lowest and the highest temperature in the morning and in the afternoon.
//
// Over a week straight lines between such readings count what hourly ones do but for a share that is much the same every week. In simulated air
// it is up to 4 % where a day's range is 4 °C, with a standard deviation of 1 or 2 % from week to week, and where it is 16 °C up to 17 %, or 29 %
// by hours that are both warm, with one of 1 to 6 %. By one reading a day it is 43 % there, with one of 13 % (sparse_test.go).
const SparseGap = 18 * time.Hour

const (
	longestStep = 3 * time.Hour // readings further apart leave a gap
	finestStep  = time.Hour     // the clock runs evenly within one
	day         = 24 * time.Hour
	edge        = 7 * day // what is assumed outside the readings is taken from the first and the last week of them
)

// Air is the readings of one place, screened and with their gaps filled, from which clocks of any speed follow.
type Air struct {
	path     []point
	gaps     []Gap
	left     []LeftOut
	readings int
}

// NewAir screens readings and fills their gaps.
func NewAir(readings []Reading) *Air {
	kept, left := Screen(readings)
	a := &Air{left: left}
	if len(kept) < 2 {
		return a
	}
	a.readings = len(kept)
	a.path, a.gaps = fill(kept)
	return a
}

// NewClock is the clock of some readings: see Air.Clock.
func NewClock(speed Speed, readings []Reading) *Clock { return NewAir(readings).Clock(speed) }

// Clock adds up. Between readings the air is taken to change evenly, and the speed is taken at the middle of steps of an hour or less. Without
// two usable readings the clock is the calendar's: one a day, all of it assumed.
func (a *Air) Clock(speed Speed) *Clock {
	c := &Clock{before: Amount{Count: 1, Coverage: Coverage{Assumed: day}}, after: Amount{Count: 1, Coverage: Coverage{Assumed: day}}}
	c.left, c.gaps, c.Readings = a.left, a.gaps, a.readings
	if len(a.path) == 0 {
		return c
	}
	c.nodes = make([]node, 0, len(a.path))
	c.nodes = append(c.nodes, node{at: a.path[0].At})
	var sum Amount
	for i, p := range a.path[1:] {
		sum = sum.plus(step(speed, a.path[i].Reading, p))
		c.nodes = append(c.nodes, node{p.At, sum})
	}
	first, last := c.nodes[0].at, c.nodes[len(c.nodes)-1].at
	width := min(edge, last.Sub(first))
	c.before = perDay(c.Between(first, first.Add(width)), width)
	c.after = perDay(c.Between(last.Add(-width), last), width)
	return c
}

// step counts from a reading to a point with the air changing evenly.
func step(speed Speed, a Reading, b point) (sum Amount) {
	length := b.At.Sub(a.At)
	parts := max(1, int((length+finestStep-1)/finestStep))
	days := length.Hours() / 24 / float64(parts)
	for k := range parts {
		count, se := speed(a.AirC + (b.AirC-a.AirC)*(float64(k)+0.5)/float64(parts))
		sum.Count += count * days
		sum.StandardError += se * days
	}
	if !b.filled {
		sum.Measured = length
		return sum
	}
	sum.Filled = length
	if b.gap <= SparseGap {
		sum.Sparse = length
	}
	return sum
}

func perDay(a Amount, over time.Duration) Amount {
	n := over.Hours() / 24
	return Amount{a.Count / n, a.StandardError / n, Coverage{Assumed: day}}
}

// Calendar reports whether the clock counts days, for want of readings.
func (c *Clock) Calendar() bool { return len(c.nodes) == 0 }

// Span is from the first usable reading to the last; both are zero of a calendar.
func (c *Clock) Span() (first, last time.Time) {
	if c.Calendar() {
		return first, last
	}
	return c.nodes[0].at, c.nodes[len(c.nodes)-1].at
}

// LeftOut are the readings that were not used, in the order of time.
func (c *Clock) LeftOut() []LeftOut { return slices.Clone(c.left) }

// Gaps are the stretches without readings, in the order of time.
func (c *Clock) Gaps() []Gap { return slices.Clone(c.gaps) }

// Between is what the clock counts from one instant to another; it is negative if they are the wrong way round.
func (c *Clock) Between(from, to time.Time) Amount {
	if c.Calendar() {
		return scaled(c.before, to.Sub(from))
	}
	return c.since(to).minus(c.since(from))
}

// since is what is counted from the first node to an instant.
func (c *Clock) since(t time.Time) Amount {
	i, found := slices.BinarySearchFunc(c.nodes, t, func(n node, t time.Time) int { return n.at.Compare(t) })
	switch {
	case found:
		return c.nodes[i].sum
	case i == 0:
		return scaled(c.before, t.Sub(c.nodes[0].at))
	case i == len(c.nodes):
		last := c.nodes[i-1]
		return last.sum.plus(scaled(c.after, t.Sub(last.at)))
	}
	a, b := c.nodes[i-1], c.nodes[i]
	return a.sum.plus(share(b.sum.minus(a.sum), float64(t.Sub(a.at))/float64(b.at.Sub(a.at))))
}

// scaled is the amount of a stretch of time at so much a day.
func scaled(aDay Amount, length time.Duration) Amount {
	n := float64(length) / float64(day)
	return Amount{aDay.Count * n, aDay.StandardError * n, Coverage{Assumed: length}}
}

func share(a Amount, part float64) Amount {
	of := func(d time.Duration) time.Duration { return time.Duration(math.Round(float64(d) * part)) }
	return Amount{a.Count * part, a.StandardError * part, Coverage{of(a.Measured), of(a.Filled), of(a.Sparse), of(a.Assumed)}}
}
