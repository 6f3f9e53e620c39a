package report

import (
	"cmp"
	"fmt"
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
)

// answer puts the season's answer into words: what stands, what was picked, what was lost, what is past ripe and where,
// when the cultivars ripened, and what to look at in the records.
func (s *Season) answer() []Statement {
	if s.Totals.Counted == 0 && s.Yield.Fruits == 0 {
		return []Statement{{"Nothing has been counted or picked yet. Record a count of one plant to begin.", Plain}}
	}
	out := []Statement{s.standingWords(), s.pickedWords(), s.lostWords(), s.pastRipeWords()}
	out = append(out, s.ripeningWords()...)
	if n := s.Totals.Contradictions; n > 0 {
		out = append(out, Statement{fmt.Sprintf("Records disagree in %s beyond what a miscount explains; they are listed under “Records to look at”.",
			plural(n, "place", "places")), Look})
	}
	return out
}

func (s *Season) standingWords() Statement {
	t := s.Totals
	ripe, known := s.ripeStanding()
	ripeWords := fmt.Sprintf("%d of them ripe", ripe)
	if !known {
		ripeWords = fmt.Sprintf("at least %d of them ripe", ripe)
	}
	where := fmt.Sprintf("on %d of the %s", s.bearing(), plants(t.Counted))
	if s.bearing() == t.Counted {
		where = "on " + plants(t.Counted)
	}
	if s.one {
		where = "on it"
	}
	if t.Counted < t.Plants {
		where += fmt.Sprintf(" that were counted (of %d)", t.Plants)
	}
	if t.Standing == nil {
		return Statement{fmt.Sprintf("At least %d fruit stand %s, %s.", t.StandingAtLeast, where, ripeWords), Plain}
	}
	if *t.Standing == 0 {
		if s.one {
			return Statement{"No fruit stands on it.", Plain}
		}
		if t.Counted == 1 {
			return Statement{"No fruit stands on the plant that was counted.", Plain}
		}
		return Statement{fmt.Sprintf("No fruit stands on any of the %s that were counted.", plants(t.Counted)), Plain}
	}
	return Statement{fmt.Sprintf("%d fruit stand %s, %s.", *t.Standing, where, ripeWords), Plain}
}

// bearing is the number of plants with standing fruit.
func (s *Season) bearing() int {
	n := 0
	for i := range s.Plants {
		if s.Plants[i].Book.Totals.StandingAtLeast > 0 {
			n++
		}
	}
	return n
}

// ripeStanding sums standing ripe fruit; known is false where some plant has only a lower bound.
func (s *Season) ripeStanding() (ripe int, known bool) {
	known = true
	for i := range s.Plants {
		p := &s.Plants[i]
		if len(p.Book.Visits) == 0 {
			continue
		}
		if p.PastRipe.StandingRipe == nil {
			known = false
			ripe += p.PastRipe.StandingRipeAtLeast
			continue
		}
		ripe += *p.PastRipe.StandingRipe
	}
	return ripe, known
}

func (s *Season) pickedWords() Statement {
	y := s.Yield
	if y.Fruits == 0 && y.Uncounted == 0 {
		return Statement{"Nothing has been picked yet.", Plain}
	}
	text := fmt.Sprintf("%d fruit have been picked", y.Fruits)
	switch {
	case y.Weighed == 0 && y.MassG == 0:
		text += "; none were weighed"
	case y.Weighed == y.Fruits && y.Uncounted == 0:
		text += fmt.Sprintf(", %s in all", Grams(y.MassG))
	default:
		text += fmt.Sprintf("; the %d that were weighed come to %s", y.Weighed, Grams(y.MassG))
	}
	switch {
	case y.Culls == 1:
		text += "; 1 was a cull"
	case y.Culls > 1:
		text += fmt.Sprintf("; %d were culls", y.Culls)
	}
	return Statement{text + ".", Plain}
}

func (s *Season) lostWords() Statement {
	t := s.Totals
	if t.Lost == 0 && t.Cleared == 0 {
		return Statement{"No losses have been recorded.", Plain}
	}
	var parts []string
	for _, l := range s.Losses {
		if l.Cause != "cleared" {
			parts = append(parts, fmt.Sprintf("%d %s", l.Ripe+l.Unripe, causeWords(l.Cause)))
		}
	}
	text := fmt.Sprintf("%d fruit were lost", t.Lost)
	if len(parts) > 0 {
		text += ": " + join(parts, 0)
	}
	if t.Cleared > 0 {
		text += fmt.Sprintf("; %d more were cleared with their plant", t.Cleared)
	}
	return Statement{text + ".", Plain}
}

func (s *Season) pastRipeWords() Statement {
	hold := "the hold time of their cultivar"
	if s.HoldGiven || s.oneHold() {
		hold = Days(s.Plants[0].PastRipe.HoldDays) + " days"
	}
	if s.PastRipe.Certain == 0 {
		return Statement{fmt.Sprintf("No fruit is certain to have hung ripe for longer than %s.", hold), Plain}
	}
	var on []Plant
	for _, p := range s.Plants {
		if p.PastRipe.Certain > 0 {
			on = append(on, p)
		}
	}
	slices.SortStableFunc(on, func(a, b Plant) int { return cmp.Compare(b.PastRipe.Certain, a.PastRipe.Certain) })
	names := make([]string, len(on))
	for i, p := range on {
		names[i] = fmt.Sprintf("%s (%d)", p.Records.Plant.Label, p.PastRipe.Certain)
	}
	if s.one {
		return Statement{fmt.Sprintf("At least %d of its fruit have hung ripe for longer than %s: look at them first.", s.PastRipe.Certain, hold), Act}
	}
	return Statement{fmt.Sprintf("At least %d fruit have hung ripe for longer than %s, on %s: look at them first.",
		s.PastRipe.Certain, hold, join(names, 12)), Act}
}

func (s *Season) oneHold() bool {
	return !slices.ContainsFunc(s.Plants, func(p Plant) bool { return p.PastRipe.HoldDays != s.Plants[0].PastRipe.HoldDays })
}

// ripeningWords says for each cultivar when half of its fruit was ripe, or why that isn't known.
func (s *Season) ripeningWords() []Statement {
	var out []Statement
	for i := range s.Curves.Curves {
		c := &s.Curves.Curves[i]
		if c.Scope != curve.ScopeCultivar || c.Stage != s.RipeStage(c.CultivarID) || c.T50 == nil {
			continue
		}
		text := fmt.Sprintf("Half of the fruit of %s had reached %s by %s", c.Cultivar, c.Stage, Day(c.T50.At))
		if c.T50.Low != nil {
			text += fmt.Sprintf(", give or take %s days (%.0f %% interval)", Days((*c.T50.High-*c.T50.Low)/2), 100*curve.Level)
		}
		out = append(out, Statement{text + fmt.Sprintf(", %s days from %s.", Days(c.T50.Days), c.OriginOf), Plain})
	}
	for i := range s.Curves.Refused {
		x := &s.Curves.Refused[i]
		if x.Scope == curve.ScopeCultivar && x.Stage == s.RipeStage(x.CultivarID) {
			out = append(out, Statement{fmt.Sprintf("No day can be given for half of the fruit of %s. %s", x.Cultivar, x.Reason), Plain})
		}
	}
	return out
}

func causeWords(c crop.Cause) string {
	if c == crop.OtherWay {
		return "of another cause"
	}
	if c == crop.Pest || c == crop.Disease {
		return "to " + string(c)
	}
	return string(c)
}
