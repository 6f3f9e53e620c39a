package ledger

import (
	"fmt"
	"slices"

	"vinetally/analytics/crop"
)

func fruit(n int) string { return fmt.Sprintf("%d fruit", n) }

// is and was take the number of what they speak of.
func is(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}

func was(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

// shareOf speaks of some of several counts.
func shareOf(some, all int) string {
	switch {
	case all == 1:
		return "The only count is"
	case some == 2 && all == 2:
		return "Both counts are"
	case some == all:
		return fmt.Sprintf("All %d counts are", all)
	default:
		return fmt.Sprintf("%d of %d counts %s", some, all, is(some))
	}
}

// reaching names fruit at or beyond a stage.
func (b *Book) reaching(stage string) string {
	switch i := slices.Index(b.Scale, stage); {
	case i <= 0:
		return "fruit of any stage"
	case i == len(b.Scale)-1:
		return stage + " fruit"
	default:
		return stage + " or riper fruit"
	}
}

// day names the moment of a record by its day, or by day and time beside another one of the same day.
func day(m, beside crop.Moment) string {
	if m.TimeKnown() && m.LocalDate() == beside.LocalDate() {
		return crop.ClockWords(m.At)
	}
	return m.LocalDate().Words()
}

func allowed(c *Contradiction) string {
	if c.Allowance >= c.Fruits {
		return fmt.Sprintf(" Two careful counts may differ by up to %d, so nothing need be wrong.", c.Allowance)
	}
	return ""
}

func (b *Book) fewerDetail(c *Contradiction, before, now *Entry, v *verdict) string {
	chance, fall := allowed(c), v.fall
	if v.allowance < v.pair {
		chance = fmt.Sprintf(" Two careful counts may differ by up to %d, but the counts around these bear the fall out, so it is hardly a miscount.", v.pair)
	}
	from, to := day(before.CountedAt, now.CountedAt), day(now.CountedAt, before.CountedAt)
	return fmt.Sprintf("The count of %s has %d %s fewer than expected: after the count of %s at least %d should be standing, picked or "+
		"lost, and %d %s. If fruit was picked or lost between %s and %s, add the picking or loss; otherwise one of the counts is off, "+
		"correct it.%s", to, c.Fruits, b.reaching(c.Stage), from, fall.expected, fall.expected-fall.fruits, is(fall.expected-fall.fruits), from, to, chance)
}

func (b *Book) seenDetail(c *Contradiction, before, now *Entry, stood int) string {
	from, to := day(before.CountedAt, now.CountedAt), day(now.CountedAt, before.CountedAt)
	return fmt.Sprintf("The count of %s saw at least %d %s, though it was unfinished or of a part only; the count of %s leaves room for %d fewer. "+
		"If fruit was picked or lost between them, add the picking or loss; otherwise correct the count that is off.%s",
		from, stood, b.reaching(c.Stage), to, c.Fruits, allowed(c))
}

func (b *Book) disagreeDetail(e *Entry, d *disagreement) string {
	return fmt.Sprintf("Two counts of %s don't agree on %s: one has %d, another %d. Until one of them is corrected or deleted, "+
		"the number is taken as unknown.", day(e.CountedAt, e.CountedAt), b.reaching(b.Scale[d.stage]), d.low, d.high)
}

func (b *Book) sameDayDetail(c *Contradiction, e *Entry, taken int) string {
	return fmt.Sprintf("On %s, %d %s %s picked or lost after the count, which had %d. If taken before the count, mark the record as before "+
		"the count; otherwise correct the count or the picking.%s",
		e.CountedAt.LocalDate().Words(), taken, b.reaching(c.Stage), was(taken), taken-c.Fruits, allowed(c))
}

func (b *Book) ripeDetail(e *Entry, taken, stood int) string {
	return fmt.Sprintf("After the count of %s, %d ripe fruit %s picked or lost within 30 days and before the next count of all fruit, but only "+
		"%d fruit of any stage stood then, and none set since can have ripened. Correct the count or the pickings.",
		e.CountedAt.LocalDate().Words(), taken, was(taken), stood)
}

func standingDetail(e *Entry, n int, removed crop.Date) string {
	return fmt.Sprintf("On %s, %s %s counted on this plant, which was removed on %s. Correct the day of removal, or delete the count.",
		e.CountedAt.LocalDate().Words(), fruit(n), was(n), removed.Words())
}

func takenDetail(c *Contradiction, last *Removal, removed crop.Date) string {
	when := "On " + c.At.LocalDate().Words()
	if to := last.At.LocalDate(); to != c.At.LocalDate() {
		when = fmt.Sprintf("From %s to %s", c.At.LocalDate().Words(), to.Words())
	}
	return fmt.Sprintf("%s, %s %s picked or lost from this plant, which was removed on %s. Correct the day of removal, or the days of "+
		"the pickings and losses.", when, fruit(c.Fruits), was(c.Fruits), removed.Words())
}

func has(n int) string {
	if n == 1 {
		return "One of these counts has"
	}
	return fmt.Sprintf("%d of these counts have", n)
}

// warn says in plain words what makes the book less than whole.
func (b *Book) warn(r *crop.PlantRecords) {
	say := func(format string, args ...any) { b.Warnings = append(b.Warnings, fmt.Sprintf(format, args...)) }
	if len(b.Visits) == 0 {
		say("This plant was never counted, so what stands on it isn't known.")
	}
	partial, glances := 0, 0
	for i := range b.Visits {
		c := b.Visits[i].Coverage
		switch {
		case slices.Contains(c, About):
			glances++
		case c[0] != Whole:
			partial++
		}
	}
	if partial > 0 {
		say("%s of a part of the plant only; what that leaves open isn't guessed, and bounds are given instead.", shareOf(partial, len(b.Visits)))
	}
	expanded, loose := 0, 0
	for i := range b.Visits {
		if e := b.Visits[i].Estimate; e != nil {
			expanded++
			if slices.ContainsFunc(e, func(x *Estimate) bool { return x != nil && x.Low == nil }) {
				loose++
			}
		}
	}
	if expanded > 0 {
		say("%s of some trusses, which is also expanded to all of them. That holds for trusses drawn at random, or every so many; those easiest to reach are older and riper.", shareOf(expanded, len(b.Visits)))
	}
	if loose > 0 {
		say("%s no interval for it: that wants a row for each truss, two or more of them bearing fruit of the stage and not all alike, chosen at random or every so many and not all from one end of the plant.", has(loose))
	}
	if glances > 0 {
		say("%s a rough number (about), shown but not used: nothing is computed from it.", shareOf(glances, len(b.Visits)))
	}
	if first := b.firstOpen(func(rm *Removal) bool { return !rm.Counted }); first != nil {
		say("Fruit was weighed and not counted (first on %s), so how many fruit ever reached a stage isn't known from then on.",
			first.At.LocalDate().Words())
	}
	if first := b.firstOpen(func(rm *Removal) bool { return rm.Counted && !rm.Sure && rm.Fruits > 0 }); first != nil {
		n := b.Totals.UnitFruit
		share := fmt.Sprintf("between none and all of them %s", is(n))
		if n == 1 {
			share = "it may or may not be"
		}
		say("%s %s picked or lost without saying from which plant (first on %s); %s of this plant, so how many of its fruit ever "+
			"reached a stage isn't known from then on.", fruit(n), was(n), first.At.LocalDate().Words(), share)
	}
	if b.firstOpen(func(rm *Removal) bool { return rm.Stage < 0 }) != nil {
		say("Some fruit was recorded at a stage that is no longer on the scale; it is taken as %s or riper.", b.Scale[0])
	}
	if left := b.Totals.LeftAtRemoval; left != nil && *left > 0 {
		say("The plant was removed on %s with %s on it by the last count, recorded neither as picked nor as lost. "+
			"Record what became of it: picked, or lost and cleared.", r.Plant.RemovedOn.Words(), fruit(*left))
	}
	b.warnOfDoubt(say)
}

// warnOfDoubt says what the totals leave out, or take at its word, because records contradict each other.
func (b *Book) warnOfDoubt(say func(format string, args ...any)) {
	removed, next := 0, 0
	for i := range b.Visits {
		for ; next < len(b.Removals) && b.Removals[next].Interval <= i; next++ {
			if r := &b.Removals[next]; r.Sure {
				removed += r.Fruits
			}
		}
		e := &b.Visits[i]
		if accounted := e.AtOrBeyondAtLeast[0] + removed; e.Doubted != nil && accounted > b.Totals.SetAtLeast {
			say("The count of %s accounts for %s, more than any other bears out, and a later one contradicts it; the fruit set, at least, "+
				"leaves the difference out.", e.CountedAt.LocalDate().Words(), fruit(accounted))
		}
	}
	if n := b.Totals.TakenInDoubt; n > 0 {
		say("%s %s picked or lost by records that take more than had been counted; the fruit set, at least, leaves that out.", fruit(n), was(n))
	}
}

func (b *Book) firstOpen(is func(*Removal) bool) *Removal {
	for i := range b.Removals {
		if is(&b.Removals[i]) {
			return &b.Removals[i]
		}
	}
	return nil
}
