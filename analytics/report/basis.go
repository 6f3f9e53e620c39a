package report

import (
	"fmt"

	"vinetally/analytics/curve"
)

// basis says what the report rests on.
func (s *Season) basis() []string {
	t := s.Trial
	out := []string{
		fmt.Sprintf("Records stamped up to %s.", Clock(s.AsOf)),
		fmt.Sprintf("%s of %s, %s, %s and %s.", plural(s.Totals.Visits, "count", "counts"), plants(s.Totals.Plants),
			plural(len(t.Pickings), "picking", "pickings"), plural(len(t.Losses), "loss", "losses"),
			plural(len(t.Diary), "diary entry", "diary entries")),
		fmt.Sprintf("At least %d fruit set: the most that was ever seen standing, picked and lost together, plant by plant.", s.Totals.SetAtLeast),
		fmt.Sprintf("Intervals are %.0f %% intervals. From four plants on they hold the differences between plants; below that they hold only the chance in these plants' fruit and counts.", 100*curve.Level),
	}
	return out
}

// warnings are what holds for the whole report, in fixed order.
func (s *Season) warnings() []string {
	out := []string{"All days are calendar days: temperature readings are kept but not yet used, so a warm and a cool spell count alike."}
	out = append(out, s.PastRipe.Warnings...)
	if n := s.Totals.Plants - s.Totals.Counted; n > 0 {
		out = append(out, fmt.Sprintf("%s never counted and stands in no sum.", isAre(n)))
	}
	if u := s.Yield.Unattributed; u.Fruits > 0 || u.Uncounted > 0 {
		out = append(out, fmt.Sprintf("%d fruit were picked from a whole unit and not from one plant; they are in the sums of the season and the cultivar, but in no plant's.", u.Fruits))
	}
	if s.Yield.Uncounted > 0 {
		out = append(out, fmt.Sprintf("%s weighed without counting the fruit; the number of fruit picked is higher than shown.", wasWere(s.Yield.Uncounted)))
	}
	if s.Yield.MassEstimated {
		out = append(out, "Some pickings were weighed together; their mass is shared out by the number of fruit and is an estimate for each of them.")
	}
	return out
}

func isAre(n int) string {
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
