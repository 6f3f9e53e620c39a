package report

import (
	"fmt"
	"slices"

	"vinetally/analytics/curve"
)

// basis says what the report rests on.
func (s *Season) basis() []string {
	t := s.Trial
	if s.AsOf.IsZero() {
		if s.Totals.Plants == 0 {
			return []string{"Nothing was recorded yet."}
		}
		return []string{fmt.Sprintf("Nothing was recorded of %s yet.", plants(s.Totals.Plants))}
	}
	out := []string{
		fmt.Sprintf("Records up to %s.", Clock(s.AsOf)),
		fmt.Sprintf("%s of %s, %s, %s and %s.", plural(s.Totals.Visits, "count", "counts"), plants(s.Totals.Plants),
			plural(len(t.Pickings), "picking", "pickings"), plural(len(t.Losses), "loss", "losses"),
			plural(s.diaryEntries(), "diary entry", "diary entries")),
	}
	if n := s.Totals.SetAtLeast; n > 0 {
		each := ""
		if !s.one {
			each = ", plant by plant"
		}
		out = append(out, fmt.Sprintf("At least %s set: the most seen standing, picked and lost together at a count that no later one contradicts, or at two%s.",
			fruit(n, "was", "were"), each))
	}
	out = append(out, s.aheadBasis()...)
	if s.Totals.Counted == 0 {
		return out // and no curve, of which an interval could be given
	}
	intervals := fmt.Sprintf("Intervals are %s %% intervals", Rounded(100*curve.Level, 0))
	if s.one {
		return append(out, intervals+"; they hold only the chance in this plant's fruit and counts, not the differences between plants.")
	}
	return append(out, intervals+". From four plants on they hold the differences between plants; below that they hold only the chance in these plants' fruit and counts.")
}

// diaryEntries is how many diary entries the report could show: those of the season, or of its one plant.
func (s *Season) diaryEntries() int {
	if !s.one {
		return len(s.Trial.Diary)
	}
	n := 0
	for _, d := range s.Trial.Diary {
		if d.PlantID != nil && slices.ContainsFunc(s.Plants, func(p Plant) bool { return p.Records.Plant.ID == *d.PlantID }) {
			n++
		}
	}
	return n
}

// warnings are what holds for the whole report, in fixed order.
func (s *Season) warnings() []string {
	var out []string
	if s.clocks.Kind() == curve.CalendarClock {
		out = append(out, "Curves count calendar days, because "+s.calendarWhy+"; a warm and a cool spell count alike.")
	}
	out = append(out, s.PastRipe.Warnings...)
	out = append(out, s.aheadWarnings()...)
	if n := s.Totals.Plants - s.Totals.Counted; n > 0 && !s.one { // of a single plant the answer says it
		out = append(out, fmt.Sprintf("%s never counted; what stands there isn't known and is in no sum.", wasWerePlants(n)))
	}
	if u := s.Yield.Unattributed; u.Fruits > 0 || u.Uncounted > 0 {
		out = append(out, fmt.Sprintf("%s from a whole unit and not from one plant; that is in the sums of the season and the cultivar, but in no plant's.", fruit(u.Fruits, "was picked", "were picked")))
	}
	if s.Yield.Uncounted > 0 {
		out = append(out, fmt.Sprintf("%s weighed without counting the fruit; the number of fruit picked is higher than shown.", wasWere(s.Yield.Uncounted)))
	}
	if s.Yield.MassEstimated {
		out = append(out, "Some pickings were weighed together; their mass is shared out by the number of fruit and is an estimate for each of them.")
	}
	return out
}

func wasWerePlants(n int) string {
	if n == 1 {
		return "1 plant was"
	}
	return fmt.Sprintf("%d plants were", n)
}

func wasWere(n int) string {
	if n == 1 {
		return "1 picking was"
	}
	return fmt.Sprintf("%d pickings were", n)
}
