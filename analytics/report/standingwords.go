package report

import "fmt"

func (s *Season) standingWords() Statement {
	t := s.Totals
	switch {
	case t.Counted == 0 && s.one && s.Plants[0].Book.Removed:
		return Statement{fmt.Sprintf("It was not counted before it was removed on %s, so what stood on it isn't known.", s.Plants[0].Records.Plant.RemovedOn.Words()), Plain}
	case t.Counted == 0 && s.one:
		return Statement{"It has not been counted yet, so what stands on it isn't known.", Plain}
	case t.Counted == 0:
		return Statement{"No plant has been counted yet, so what stands isn't known.", Plain}
	case t.Standing == nil && t.StandingAtLeast == 0 && t.StandingAtMost == nil:
		return Statement{"How many fruit stand on " + s.onWhich() + " isn't known: a last count was of a part or given up, or fruit was taken since without counting it.", Plain}
	case s.one && s.Plants[0].Book.Removed:
		return Statement{fmt.Sprintf("No fruit stands on it: it was removed on %s.", s.Plants[0].Records.Plant.RemovedOn.Words()), Plain}
	case t.Standing != nil && *t.Standing == 0:
		return Statement{"No fruit stands on " + s.onAny() + s.onlyCounted() + ".", Plain}
	}
	ripe, known := s.ripeStanding()
	switch {
	case t.Standing == nil && t.StandingAtMost != nil && t.StandingAtLeast == 0:
		return Statement{fmt.Sprintf("At most %s on %s%s%s.", fruit(*t.StandingAtMost, "stands", "stand"), s.onWhich(), ripeWords(ripe, -1, known), s.onlyCounted()), Plain}
	case t.Standing == nil && t.StandingAtMost != nil:
		return Statement{fmt.Sprintf("Between %d and %s on %s%s%s.", t.StandingAtLeast, fruit(*t.StandingAtMost, "stands", "stand"), s.onWhich(), ripeWords(ripe, -1, known), s.onlyCounted()), Plain}
	case t.Standing == nil:
		return Statement{fmt.Sprintf("At least %s on %s%s%s.", fruit(t.StandingAtLeast, "stands", "stand"), s.onWhich(), ripeWords(ripe, -1, known), s.onlyCounted()), Plain}
	}
	return Statement{fmt.Sprintf("%s on %s%s%s.", fruit(*t.Standing, "stands", "stand"), s.onWhich(), ripeWords(ripe, *t.Standing, known), s.onlyCounted()), Plain}
}

// onWhich names the plants on which fruit is known to stand.
func (s *Season) onWhich() string {
	t := s.Totals
	switch {
	case s.one:
		return "it"
	case t.Bearing == 0:
		return "the plants"
	case t.Counted < t.Plants:
		return plants(t.Bearing)
	case t.Plants == 1:
		return "the plant"
	case t.Bearing == t.Plants && t.Plants == 2:
		return "both plants"
	case t.Bearing == t.Plants:
		return "all " + plants(t.Plants)
	}
	return fmt.Sprintf("%d of the %s", t.Bearing, plants(t.Plants))
}

func (s *Season) onAny() string {
	t := s.Totals
	switch {
	case s.one:
		return "it"
	case t.Counted == 1:
		return "the plant" + verb(t.Plants, "", " that was counted")
	case t.Counted < t.Plants:
		return "any plant that was counted"
	case t.Plants == 2:
		return "either plant"
	}
	return "any of the " + plants(t.Plants)
}

// onlyCounted says of a season of which not every plant has been counted how many were.
func (s *Season) onlyCounted() string {
	t := s.Totals
	if s.one || t.Counted == t.Plants {
		return ""
	}
	return fmt.Sprintf("; %d of the %s %s been counted", t.Counted, plants(t.Plants), verb(t.Counted, "has", "have"))
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
