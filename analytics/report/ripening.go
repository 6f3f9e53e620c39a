package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
)

// Ripened says when half of its fruit was ripe of each cultivar of which that is known, a sentence for each.
func (s *Season) Ripened() []string {
	var out []string
	for _, c := range s.ripeCurves() {
		out = append(out, halfRipe(c, "the fruit of "+c.Cultivar, s.startOf(c)).Text)
	}
	return out
}

// ripeningWords says the same of a single cultivar, and of several in one sentence: of the first and the last.
func (s *Season) ripeningWords() []Statement {
	known, refused := s.ripeCurves(), s.ripeRefused()
	if len(known)+len(refused) <= 1 {
		var out []Statement
		for _, text := range s.Ripened() {
			out = append(out, Statement{text, Plain})
		}
		for _, x := range refused {
			out = append(out, Statement{fmt.Sprintf("When half of the fruit of %s had ripened can't be said. %s", x.Cultivar, x.Reason), Plain})
		}
		return out
	}
	if len(known) == 0 {
		return []Statement{{fmt.Sprintf("When half of the fruit had ripened can't be said of any of the %d cultivars yet; why stands under “When the fruit ripened”.", len(refused)), Plain}}
	}
	slices.SortStableFunc(known, func(a, b *curve.Curve) int { return a.T50.At.Compare(b.T50.At) })
	first := known[0]
	text := fmt.Sprintf("Half of what ripened was ripe by %s", halfShort(first, fmt.Sprintf("%s %% interval ", Rounded(100*curve.Level, 0))))
	switch last := known[len(known)-1]; len(known) {
	case 1:
	case 2:
		text += " and by " + halfShort(last, "")
	default:
		text += fmt.Sprintf(", first of %d cultivars, and by %s, last", len(known), halfShort(last, ""))
	}
	switch len(refused) {
	case 0:
	case 1:
		text += fmt.Sprintf("; of %s it can't be said", refused[0].Cultivar)
	default:
		text += fmt.Sprintf("; of %d cultivars it can't be said", len(refused))
	}
	return []Statement{{text + ".", Plain}}
}

// halfShort is when half of a cultivar's fruit was ripe, with its interval after level. A year is said once.
func halfShort(c *curve.Curve, level string) string {
	at, low, high := CrossingDays(c.T50)
	interval := "no interval"
	if c.T50.Low != nil {
		interval = crop.RangeWords(low, high)
		if low.Year == at.Year && high.Year == at.Year {
			interval = strings.TrimSuffix(interval, fmt.Sprintf(" %d", at.Year))
		}
		interval = level + interval
	}
	return fmt.Sprintf("%s on %s (%s)", at.Words(), c.Cultivar, interval)
}

// ripeCurves are the curves of the ripe stage of the cultivars that tell when half had ripened.
func (s *Season) ripeCurves() []*curve.Curve {
	var out []*curve.Curve
	for i := range s.Curves.Curves {
		c := &s.Curves.Curves[i]
		if c.Scope == curve.ScopeCultivar && c.Stage == s.RipeStage(c.CultivarID) && c.T50 != nil {
			out = append(out, c)
		}
	}
	return out
}

func (s *Season) ripeRefused() []*curve.Refusal {
	var out []*curve.Refusal
	for i := range s.Curves.Refused {
		x := &s.Curves.Refused[i]
		if x.Scope == curve.ScopeCultivar && x.Stage == s.RipeStage(x.CultivarID) {
			out = append(out, x)
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
