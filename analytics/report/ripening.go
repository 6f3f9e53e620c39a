package report

import (
	"fmt"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
)

// ripeningWords says for each cultivar when half of its fruit was ripe, or why that isn't known.
func (s *Season) ripeningWords() []Statement {
	var out []Statement
	for i := range s.Curves.Curves {
		c := &s.Curves.Curves[i]
		if c.Scope == curve.ScopeCultivar && c.Stage == s.RipeStage(c.CultivarID) && c.T50 != nil {
			out = append(out, halfRipe(c, "the fruit of "+c.Cultivar, s.startOf(c)))
		}
	}
	for i := range s.Curves.Refused {
		x := &s.Curves.Refused[i]
		if x.Scope == curve.ScopeCultivar && x.Stage == s.RipeStage(x.CultivarID) {
			out = append(out, Statement{fmt.Sprintf("When half of the fruit of %s had ripened can't be said. %s", x.Cultivar, x.Reason), Plain})
		}
	}
	return out
}

// halfRipe says when half of the fruit had reached a curve's stage. The half is of the level that the curve approaches,
// which is the fruit that comes to the stage and not all fruit ever set.
func halfRipe(c *curve.Curve, fruit, start string) Statement {
	at, low, high := CrossingDays(c.T50)
	interval := ""
	if c.T50.Low != nil {
		interval = fmt.Sprintf(" (%s %% interval %s)", Rounded(100*curve.Level, 0), crop.RangeWords(low, high))
	}
	return Statement{fmt.Sprintf("Of %s that ripened, half had reached %s by %s%s, %s days after %s.",
		fruit, c.Stage, at.Words(), interval, Days(c.T50.Days), start), Plain}
}

// CrossingDays returns the day of a crossing and the days of the ends of its interval, in the zone of the curve; without
// an interval all three are the same day.
func CrossingDays(x *curve.Crossing) (at, low, high crop.Date) {
	at = crop.DateOf(x.At)
	if x.Low == nil || x.High == nil {
		return at, at, at
	}
	end := func(days float64) crop.Date {
		return crop.DateOf(x.At.Add(time.Duration((days - x.Days) * float64(24*time.Hour))))
	}
	return at, end(*x.Low), end(*x.High)
}

// startOf names what a cultivar's days are counted from: its sowing, or the first one where its plants began on different
// days.
func (s *Season) startOf(c *curve.Curve) string {
	var began *crop.Date
	for i := range s.Plants {
		p := s.Plants[i].Records.Plant
		since := p.Since()
		if p.CultivarID != c.CultivarID || since == nil || len(s.Plants[i].Book.Visits) == 0 {
			continue
		}
		if began != nil && *began != *since {
			return "the first " + c.OriginOf
		}
		began = since
	}
	return c.OriginOf
}
