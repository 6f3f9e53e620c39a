package curve

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"vinetally/analytics/survival"
)

// curve turns fitted event times into their answer.
func (e *events) curve(s Subject, origin plantBook) *Curve {
	best := e.fits[0]
	level := floats.Sum(e.plants) / float64(len(e.plants))
	c := &Curve{Subject: s, Origin: origin.origin, OriginOf: origin.from, Family: best.name, Candidates: e.candidates, AICc: e.aicc, clock: e.series.clock,
		RestsOn: RestsOn{Visits: len(e.series.obs), Fruits: e.series.fruits(), Plants: e.series.plants}}
	var how *eventSpread
	if sp, ok := e.spread(s); ok && e.loose(&sp) {
		c.Warnings = append(c.Warnings, tooLoose)
	} else if ok {
		how = &sp
	} else if s.Scope == ScopeCultivar && e.series.plants >= minPlantsForCultivar {
		c.Warnings = append(c.Warnings, "The curve hangs on single plants: without one of them it can't be fitted, so no interval is given.")
	} else {
		c.Warnings = append(c.Warnings, "Too few counts fall into the time of ripening to say how sure the curve is, so no interval is given.")
	}
	if how != nil && s.Scope == ScopeCultivar && e.series.plants < minPlantsForCultivar {
		c.Warnings = append(c.Warnings, fmt.Sprintf("With %s the curve speaks of these plants, not of the cultivar: the intervals don't hold the differences between plants.", phrasePlants(e.series.plants)))
	}
	families := make([]opinion, len(e.fits))
	for i, f := range e.fits {
		families[i] = opinion{f.name, f.weight, func(share float64) (float64, bool) {
			x, _ := f.Quantile(share)
			return x, true
		}}
	}
	if words := disagreement(families, e.first().x, e.last().x); words != "" {
		c.Warnings = append(c.Warnings, words)
	}
	c.Parameters = e.parameters(level, how)
	for _, t := range crossings(c) {
		x, se, low, high, known := e.crossing(t.share, how)
		switch {
		case x < e.first().x:
			c.Warnings = append(c.Warnings, t.before(c.Stage))
			continue
		case x > e.last().x:
			c.Warnings = append(c.Warnings, t.after(c.Stage))
			continue
		}
		*t.to = e.series.crossed(origin.origin, x)
		if known {
			e.series.bound(*t.to, origin.origin, low, high)
			if t.to == &c.T50 {
				c.t50 = crossingError{x, se}
			}
		}
	}
	e.draw(c, level, how)
	return c
}

// parameters are a, which is counted and has no error, and k and t0.
func (e *events) parameters(level float64, how *eventSpread) []Parameter {
	best := e.fits[0]
	all := []Parameter{{Name: "a", Value: level}, {Name: "k", Value: 1 / best.Sigma}, {Name: "t0", Value: best.Mu}}
	if how == nil {
		return all
	}
	for i, of := range []func(l *survival.Line) float64{func(l *survival.Line) float64 { return 1 / l.Sigma }, func(l *survival.Line) float64 { return l.Mu }} {
		variance := best.Covariance[0][0]
		if i == 0 {
			variance = best.Covariance[1][1] / (best.Sigma * best.Sigma)
		}
		all[i+1].SE = new(math.Sqrt(variance * how.scale(0, variance, of)))
	}
	return all
}

func (e *events) draw(c *Curve, level float64, how *eventSpread) {
	lo, hi := e.first().x, e.last().x
	for i := range linePoints + 1 {
		x := lo + (hi-lo)*float64(i)/linePoints
		p := LinePoint{At: e.series.moment(c.Origin, x), Value: level * e.fits[0].Share(x)}
		p.Days = e.series.calendar(c.Origin, p.At, x)
		if how != nil {
			low, high := e.band(x, how)
			p.Low, p.High = new(level*low), new(level*high)
		}
		c.Line = append(c.Line, p)
	}
	c.Observed = e.series.observed(c.Origin, e.points)
}
