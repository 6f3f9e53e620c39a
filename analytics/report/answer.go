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
	if s.nothing() {
		return []Statement{{"Nothing has been counted or picked yet. Record a count of one plant to begin.", Plain}}
	}
	return slices.Concat(s.fruitWords(), s.ripeningWords(), s.disagreeWords())
}

// nothing tells that there is no record of any fruit.
func (s *Season) nothing() bool {
	return s.Totals.Counted == 0 && len(s.Trial.Pickings) == 0 && len(s.Trial.Losses) == 0
}

// fruitWords say what became of the fruit. What is past ripe is not spoken of before the first count.
func (s *Season) fruitWords() []Statement {
	out := []Statement{s.standingWords(), s.pickedWords(), s.lostWords()}
	if s.Totals.Counted > 0 {
		out = append(out, s.pastRipeWords())
	}
	return out
}

func (s *Season) disagreeWords() []Statement {
	n := s.Totals.Contradictions
	if n == 0 {
		return nil
	}
	return []Statement{{fmt.Sprintf("Records disagree in %s beyond what a miscount explains; %s listed under “Records to look at”.",
		plural(n, "place", "places"), verb(n, "it is", "they are")), Look}}
}

func (s *Season) standingWords() Statement {
	t := s.Totals
	if t.Counted == 0 && s.one {
		return Statement{"It has not been counted yet, so what stands on it isn't known.", Plain}
	}
	if t.Counted == 0 {
		return Statement{"No plant has been counted yet, so what stands isn't known.", Plain}
	}
	where := fmt.Sprintf("on %d of the %s", t.Bearing, plants(t.Counted))
	if t.Bearing == t.Counted {
		where = "on " + plants(t.Counted)
	}
	if s.one {
		where = "on it"
	}
	if t.Counted < t.Plants {
		where += fmt.Sprintf(" that %s counted (of %d)", verb(t.Counted, "was", "were"), t.Plants)
	}
	ripe, known := s.ripeStanding()
	if t.Standing == nil {
		return Statement{fmt.Sprintf("At least %s %s%s.", fruit(t.StandingAtLeast, "stands", "stand"), where, ripeWords(ripe, -1, known)), Plain}
	}
	if *t.Standing == 0 {
		switch {
		case s.one:
			return Statement{"No fruit stands on it.", Plain}
		case t.Counted == 1:
			return Statement{"No fruit stands on the plant that was counted.", Plain}
		}
		return Statement{fmt.Sprintf("No fruit stands on any of the %s that were counted.", plants(t.Counted)), Plain}
	}
	return Statement{fmt.Sprintf("%s %s%s.", fruit(*t.Standing, "stands", "stand"), where, ripeWords(ripe, *t.Standing, known)), Plain}
}

// ripeWords says how much of the standing fruit is ripe; standing is negative where it isn't known exactly, known is
// false where ripe is a lower bound.
func ripeWords(ripe, standing int, known bool) string {
	switch {
	case !known && ripe == 0:
		return "; how many of them are ripe isn't known"
	case !known:
		return fmt.Sprintf(", at least %d of them ripe", ripe)
	case standing == 1 && ripe == 1:
		return " and is ripe"
	case standing == 1:
		return " and is not ripe yet"
	case ripe == 0:
		return ", none of them ripe"
	case ripe == standing:
		return ", all of them ripe"
	}
	return fmt.Sprintf(", %d of them ripe", ripe)
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
	uncounted := ""
	if y.Uncounted > 0 {
		uncounted = fmt.Sprintf("; %s weighed without counting the fruit", wasWere(y.Uncounted))
	}
	if y.Fruits == 0 {
		return Statement{Grams(y.MassG) + " have been picked" + uncounted + ".", Plain}
	}
	text := fruit(y.Fruits, "has been picked", "have been picked")
	switch {
	case y.Weighed == 0 && y.Uncounted == 0:
		text += verb(y.Fruits, "; it was not weighed", "; none were weighed")
	case y.Weighed == y.Fruits && y.Uncounted == 0:
		text += ", " + Grams(y.MassG) + verb(y.Fruits, "", " in all")
	case y.Uncounted > 0:
		text += ", " + Grams(y.MassG) + " weighed" + uncounted
	default:
		text += fmt.Sprintf("; the %d that %s weighed %s to %s", y.Weighed, verb(y.Weighed, "was", "were"), verb(y.Weighed, "comes", "come"), Grams(y.MassG))
	}
	if y.Culls > 0 {
		text += fmt.Sprintf("; %d %s", y.Culls, verb(y.Culls, "was a cull", "were culls"))
	}
	return Statement{text + ".", Plain}
}

func (s *Season) lostWords() Statement {
	t := s.Totals
	if t.Lost == 0 && t.Cleared == 0 {
		return Statement{"No losses have been recorded.", Plain}
	}
	if t.Lost == 0 {
		return Statement{fmt.Sprintf("No fruit was lost but the %d cleared with their plant.", t.Cleared), Plain}
	}
	var parts []string
	for _, l := range s.Losses {
		if l.Cause != crop.Cleared {
			parts = append(parts, fmt.Sprintf("%d %s", l.Ripe+l.Unripe, causeWords(l.Cause)))
		}
	}
	text := fruit(t.Lost, "was lost: ", "were lost: ") + join(parts, 0)
	if t.Cleared > 0 {
		text += fmt.Sprintf("; %d more %s cleared with their plant", t.Cleared, verb(t.Cleared, "was", "were"))
	}
	return Statement{text + ".", Plain}
}

func (s *Season) pastRipeWords() Statement {
	var hold string
	switch {
	case s.oneHold():
		hold = Days(s.Plants[0].PastRipe.HoldDays) + " days"
	case s.PastRipe.Certain <= 1:
		hold = "its cultivar's hold time"
	default:
		hold = "the hold time of their cultivar"
	}
	n := s.PastRipe.Certain
	if n == 0 {
		return Statement{fmt.Sprintf("No fruit is certain to have hung ripe for longer than %s.", hold), Plain}
	}
	if s.one {
		return Statement{fmt.Sprintf("At least %d of its fruit %s hung ripe for longer than %s: look at %s first.", n, verb(n, "has", "have"), hold, verb(n, "it", "them")), Act}
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
	return Statement{fmt.Sprintf("At least %s hung ripe for longer than %s, on %s: look at %s first.",
		fruit(n, "has", "have"), hold, join(names, 12), verb(n, "it", "them")), Act}
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
			text += fmt.Sprintf(" (%.0f %% interval %s)", 100*curve.Level, between(c))
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
	switch c {
	case crop.Pest:
		return "to pests"
	case crop.Disease:
		return "to disease"
	}
	return string(c)
}
