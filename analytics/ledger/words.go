package ledger

import (
	"fmt"
	"slices"

	"vinetally/analytics/crop"
)

func fruit(n int) string { return fmt.Sprintf("%d fruit", n) }

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
		return m.LocalDate().String() + " " + m.At.Format("15:04")
	}
	return m.LocalDate().String()
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
		"lost, and %d are. If fruit was picked or lost between %s and %s, add the picking or loss; otherwise one of the counts is off, "+
		"correct it.%s", to, c.Fruits, b.reaching(c.Stage), from, fall.expected, fall.expected-fall.fruits, from, to, chance)
}

func (b *Book) seenDetail(c *Contradiction, before, now *Entry, stood int) string {
	from, to := day(before.CountedAt, now.CountedAt), day(now.CountedAt, before.CountedAt)
	return fmt.Sprintf("The count of %s saw at least %d %s, though it was of a part only; the count of %s leaves room for %d fewer. "+
		"If fruit was picked or lost between them, add the picking or loss; otherwise correct the count that is off.%s",
		from, stood, b.reaching(c.Stage), to, c.Fruits, allowed(c))
}

func (b *Book) disagreeDetail(e *Entry, d *disagreement) string {
	return fmt.Sprintf("Two counts of %s don't agree on %s: one has %d, another %d. Until one of them is corrected or deleted, "+
		"the number is taken as unknown.", day(e.CountedAt, e.CountedAt), b.reaching(b.Scale[d.stage]), d.low, d.high)
}

func (b *Book) sameDayDetail(c *Contradiction, e *Entry, taken int) string {
	return fmt.Sprintf("On %s, %d %s were picked or lost after the count, which had %d. If they were taken before the count, mark the "+
		"record as before the count; otherwise correct the count or the picking.%s",
		e.CountedAt.LocalDate(), taken, b.reaching(c.Stage), taken-c.Fruits, allowed(c))
}

func (b *Book) ripeDetail(e *Entry, taken int) string {
	return fmt.Sprintf("After the count of %s, %d ripe fruit were picked or lost within 30 days and before the next count, but only %d fruit "+
		"of any stage stood then, and none set since can have ripened. Correct the count or the pickings.",
		e.CountedAt.LocalDate(), taken, *e.AtOrBeyond[0])
}

func standingDetail(e *Entry, n int, removed crop.Date) string {
	return fmt.Sprintf("On %s, %s were counted on this plant, which was removed on %s. Correct the day of removal, or delete the count.",
		e.CountedAt.LocalDate(), fruit(n), removed)
}

func takenDetail(c *Contradiction, last *Removal, removed crop.Date) string {
	when := "On " + c.At.LocalDate().String()
	if to := last.At.LocalDate(); to != c.At.LocalDate() {
		when = fmt.Sprintf("From %s to %s", c.At.LocalDate(), to)
	}
	return fmt.Sprintf("%s, %s were picked or lost from this plant, which was removed on %s. Correct the day of removal, or the days of "+
		"the pickings and losses.", when, fruit(c.Fruits), removed)
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
		say("%d of %d counts are of a part of the plant only; what they leave open isn't guessed, and lower bounds are given instead.",
			partial, len(b.Visits))
	}
	if glances > 0 {
		say("%d of %d counts are a rough number (about); they are shown but nothing is computed from them.", glances, len(b.Visits))
	}
	if first := b.firstOpen(func(rm *Removal) bool { return !rm.Counted }); first != nil {
		say("Fruit was weighed and not counted (first on %s), so how many fruit ever reached a stage isn't known from then on.",
			first.At.LocalDate())
	}
	if first := b.firstOpen(func(rm *Removal) bool { return rm.Counted && !rm.Sure && rm.Fruits > 0 }); first != nil {
		say("%d fruit were picked or lost without saying from which plant (first on %s); between none and all of them are of this plant, so how many "+
			"of its fruit ever reached a stage isn't known from then on.", b.Totals.UnitFruit, first.At.LocalDate())
	}
	if b.firstOpen(func(rm *Removal) bool { return rm.Stage < 0 }) != nil {
		say("Some fruit was recorded at a stage that is no longer on the scale; it is taken as %s or riper.", b.Scale[0])
	}
	if left := b.Totals.LeftAtRemoval; left != nil && *left > 0 {
		say("The plant was removed on %s with %d fruit on it by the last count; they are recorded neither as picked nor as lost. "+
			"Record them as picked, or as lost and cleared.", r.Plant.RemovedOn, *left)
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
