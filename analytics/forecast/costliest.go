package forecast

import (
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// Costliest is the time without a visit in which most fruit passed its hold time.
type Costliest struct {
	From, To time.Time
	Plants   int
	Passed   Range // fruit
}

// costliest adds up gaps that begin and end on the same days where the plants are, and finds the one in which most fruit is expected to have passed its
// hold time; half a fruit at least. Given their expected number fruit pass it each by itself; that number is known, plant by plant, as far as
// ripening.HangSpread says.
func costliest(gaps []ripening.Gap) *Costliest {
	type days struct{ from, to crop.Date }
	type sum struct {
		Costliest
		mean, variance float64
	}
	sums := map[days]*sum{}
	var order []days
	for _, g := range gaps {
		key := days{crop.DateOf(g.From.In(g.Zone)), crop.DateOf(g.To.In(g.Zone))}
		if sums[key] == nil {
			sums[key] = &sum{Costliest: Costliest{From: g.From.In(g.Zone), To: g.To.In(g.Zone)}}
			order = append(order, key)
		}
		s := sums[key]
		s.mean += g.Passed
		s.variance += g.Passed + ripening.HangSpread*g.Passed*ripening.HangSpread*g.Passed
		if g.Passed >= 0.5 {
			s.Plants++
		}
	}
	slices.SortStableFunc(order, func(a, b days) int {
		if c := a.from.Compare(b.from); c != 0 {
			return c
		}
		return a.to.Compare(b.to)
	})
	var worst *sum
	for _, key := range order {
		if s := sums[key]; s.mean >= 0.5 && (worst == nil || s.mean > worst.mean) {
			worst = s
		}
	}
	if worst == nil {
		return nil
	}
	worst.Passed = rangeOf(worst.mean, fruits(worst.mean, worst.variance))
	return &worst.Costliest
}
