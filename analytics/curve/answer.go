package curve

import (
	"fmt"
	"math"
	"time"
)

// moment is that of a day of the clock.
func (s series) moment(origin time.Time, x float64) time.Time { return s.clock.when(origin, x) }

// curve turns a fit into its answer.
func (f *fitted) curve(s Subject, origin plantBook) *Curve {
	c := &Curve{Subject: s, Origin: origin.origin, OriginOf: origin.from, Family: f.sigmoid.Family(), Candidates: f.candidates,
		RestsOn: RestsOn{Visits: len(f.series.obs), Fruits: f.series.fruits(), Plants: f.series.plants}}
	if f.AICc != nil {
		c.AICc = *f.AICc
	}
	how, warning := f.spread(s)
	if warning != "" {
		c.Warnings = append(c.Warnings, warning)
	}
	if words := f.disagreement(); words != "" {
		c.Warnings = append(c.Warnings, words)
	}
	if n := f.partly(); n > 0 && s.Scope == ScopeCultivar && f.series.plants > 1 {
		was, them := "were", "them"
		if n == 1 {
			was, them = "was", "it"
		}
		c.Warnings = append(c.Warnings, fmt.Sprintf("%d of %d plants %s counted during a part of the ripening only; the curve takes %s to ripen like the others.", n, f.series.plants, was, them))
	}
	for j, name := range f.Names {
		p := Parameter{Name: name, Value: f.Theta[j]}
		if how != nil {
			unit := make([]float64, len(f.Theta))
			unit[j] = 1
			if se, ok := how.standardError(unit, func(th []float64) float64 { return th[j] }); ok {
				p.SE = &se
			}
		}
		c.Parameters = append(c.Parameters, p)
	}
	f.shares(c, origin.origin, how)
	c.clock = f.series.clock
	if c.T50 != nil && c.T50.Low != nil {
		c.t50 = f.halfError(how)
	}
	f.draw(c, origin.origin, how)
	return c
}

// toCross is one of t10, t50 and t90, and where it belongs.
type toCross struct {
	name, words string
	share       float64
	to          **Crossing
}

func crossings(c *Curve) []toCross {
	return []toCross{{"t10", "A tenth", 0.10, &c.T10}, {"t50", "Half", 0.50, &c.T50}, {"t90", "Nine tenths", 0.90, &c.T90}}
}

func (t toCross) before(stage string) string {
	return fmt.Sprintf("%s of the fruit had reached %s before the first count, so %s isn't given.", t.words, stage, t.name)
}

func (t toCross) after(stage string) string {
	return fmt.Sprintf("%s of the fruit had not reached %s by the last count, so %s isn't given.", t.words, stage, t.name)
}

// shares sets t10, t50 and t90 and says of each that is left out why.
func (f *fitted) shares(c *Curve, origin time.Time, how spread) {
	slow := f.left.slowing() < maxSlowingOf90
	for _, t := range crossings(c) {
		x, _, ok := f.crossing(t.share)
		switch {
		case ok && x < f.first().x:
			c.Warnings = append(c.Warnings, t.before(c.Stage))
		case !ok || x > f.last().x:
			c.Warnings = append(c.Warnings, t.after(c.Stage))
		case t.share == 0.90 && !slow:
			c.Warnings = append(c.Warnings, fmt.Sprintf("Fruit still reached %s at a quarter of the fastest rate or more when the counts end; how many nine tenths are isn't sure, so t90 isn't given.", c.Stage))
		default:
			*t.to = f.crossingAt(t.share, origin, how)
		}
	}
}

// spread chooses how the intervals are worked out.
func (f *fitted) spread(s Subject) (spread, string) {
	if s.Scope == ScopeCultivar && f.series.plants >= minPlantsForCultivar {
		if j, ok := f.plantSpread(); ok {
			return j, ""
		}
		return nil, "The curve hangs on single plants: without one of them it can't be fitted, so no interval is given."
	}
	i, ok := f.incrementSpread()
	if ok && f.loose(i) {
		return nil, tooLoose
	}
	if !ok {
		return nil, "Too few counts fall into the time of ripening to say how sure the curve is, so no interval is given."
	}
	if s.Scope == ScopeCultivar {
		return i, fmt.Sprintf("With %s the curve speaks of these plants, not of the cultivar: the intervals don't hold the differences between plants.", phrasePlants(f.series.plants))
	}
	return i, ""
}

func phrasePlants(n int) string {
	if n == 1 {
		return "one plant"
	}
	return fmt.Sprintf("%d plants", n)
}

// crossingAt is the crossing of a share, nil outside the days that were counted.
func (f *fitted) crossingAt(share float64, origin time.Time, how spread) *Crossing {
	best, grad, ok := f.crossing(share)
	if !ok || best < f.first().x || best > f.last().x {
		return nil
	}
	x, widen := f.average(share, best)
	x = math.Min(math.Max(x, f.first().x), f.last().x)
	c := f.series.crossed(origin, x)
	if how == nil {
		return c
	}
	half, ok := how.halfWidth(grad, func(th []float64) float64 {
		at, _ := f.sigmoid.Inverse(share, th, nil)
		return at
	})
	if ok && !math.IsInf(half, 0) {
		half = widen(half, how.quantile())
		later := f.left.days(share, best)
		low, high := x-half-math.Max(0, later), x+half+math.Max(0, -later)
		if own, ok := how.(incrementSpread); ok {
			from, to := f.bracket(share, own.phi)
			low, high = math.Min(math.Max(low, from), x), math.Max(math.Min(high, to), x)
		}
		f.series.bound(c, origin, low, high)
	}
	return c
}

// halfError is t50 with the standard error that holds the choice of the family, but not how far the counts stand off the curve.
func (f *fitted) halfError(how spread) crossingError {
	best, grad, ok := f.crossing(0.5)
	se, sure := how.standardError(grad, func(th []float64) float64 {
		at, _ := f.sigmoid.Inverse(0.5, th, nil)
		return at
	})
	if !ok || !sure {
		return crossingError{}
	}
	x, widen := f.average(0.5, best)
	return crossingError{x, widen(se, 1)}
}

// calendar is how many calendar days a moment lies after the origin; x is what the clock counts.
func (s series) calendar(origin, at time.Time, x float64) float64 {
	if !s.clock.thermal() {
		return x
	}
	return daysBetween(origin, at)
}

// crossed is a crossing without an interval.
func (s series) crossed(origin time.Time, x float64) *Crossing {
	c := &Crossing{At: s.moment(origin, x), Days: x}
	if clock := s.clock; clock.thermal() {
		c.Days = daysBetween(origin, c.At)
		_, se := clock.mean(origin, c.At)
		c.Standard = &StandardDays{Days: x, ClockSE: se}
	}
	return c
}

// bound sets the interval of a crossing from that in days of the clock.
func (s series) bound(c *Crossing, origin time.Time, low, high float64) {
	if c.Standard == nil {
		c.Low, c.High = &low, &high
		return
	}
	c.Standard.Low, c.Standard.High = &low, &high
	c.Low, c.High = new(daysBetween(origin, s.moment(origin, low))), new(daysBetween(origin, s.moment(origin, high)))
}

// linePoints is how finely the fitted curve is drawn.
const linePoints = 60

func (f *fitted) draw(c *Curve, origin time.Time, how spread) {
	lo, hi := f.first().x, f.last().x
	for i := range linePoints + 1 {
		x := lo + (hi-lo)*float64(i)/linePoints
		p := LinePoint{At: f.series.moment(origin, x), Value: f.value(x)}
		p.Days = f.series.calendar(origin, p.At, x)
		if how != nil {
			p.Low, p.High = f.band(x, p.Value, how)
		}
		c.Line = append(c.Line, p)
	}
	c.Observed = f.series.observed(origin, f.points)
}

// observed are the rounds of counting.
func (s series) observed(origin time.Time, points []mean) []Observed {
	out := make([]Observed, 0, len(points))
	for _, p := range points {
		out = append(out, Observed{At: p.at, Days: s.calendar(origin, p.at, p.x), Value: p.value, Plants: len(p.obs)})
	}
	return out
}

// band is the interval of the curve at x: on the scale of the square root, on which counts scatter alike whether they are
// few or many, and stretched as far as the plants stand from the curve. It is worked out on that scale and not carried over
// from the curve's own: where the curve is next to nothing, a refit that starts a day earlier is many times it, and the slope
// of the root there would make that a number without meaning.
func (f *fitted) band(x, value float64, how spread) (low, high *float64) {
	root := math.Sqrt(math.Max(0, value))
	grad := f.gradient(x)
	for j := range grad {
		if root > 0 {
			grad[j] /= 2 * root
		}
	}
	width, ok := how.halfWidth(grad, func(th []float64) float64 { return math.Sqrt(math.Max(0, f.sigmoid.Value(x, th))) })
	if !ok || math.IsInf(width, 0) {
		return nil, nil
	}
	higher := f.left.all(x)
	down := math.Max(0, root-width)
	return new(math.Max(0, down*down-math.Max(0, -higher))), new((root+width)*(root+width) + math.Max(0, higher))
}
