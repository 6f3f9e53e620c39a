package report

import (
	"testing"
	"time"

	"vinetally/analytics/forecast"
)

// TestRipeByWords: a day with its interval, one without, none, a month that is said once, few fruit, and a single one.
func TestRipeByWords(t *testing.T) {
	s := seasonToCome(forecast.ToCome{}, forecast.ToCome{}, forecast.ToCome{})
	on := func(day int) time.Time { return s.AsOf.AddDate(0, 0, day) }
	half, most := forecast.RipeBy{On: on(10), Low: on(7), High: on(13)}, forecast.RipeBy{On: on(29), Low: on(20), High: on(39)}
	last := forecast.RipeBy{On: on(33), Low: on(24), High: on(45)}
	alone := forecast.RipeBy{On: on(40)}
	for want, x := range map[string]forecast.ToCome{
		": half of them by 18 Feb, between 15 and 21 Feb; nine tenths by 9 Mar, between 28 Feb and 19 Mar; the last probably more than sixteen weeks ahead": {Mean: 14.2, Half: half, Most: most},
		": half of them by 18 Feb, between 15 and 21 Feb; nine tenths by 9 Mar, between 28 Feb and 19 Mar; the last by 13 Mar, between 4 and 25 Mar":        {Mean: 14.2, Half: half, Most: most, Last: last},
		": half of them by 18 Feb, between 15 and 21 Feb; the last by 13 Mar, between 4 and 25 Mar":                                                         {Mean: 9.2, Half: half, Most: most, Last: last},
		": half of them by 18 Feb, between 15 and 21 Feb; nine tenths by about 20 Mar; the last probably more than sixteen weeks ahead":                     {Mean: 14.2, Half: half, Most: alone},
		": half of them by 18 Feb, between 15 and 21 Feb; nine tenths probably more than sixteen weeks ahead":                                               {Mean: 14.2, Half: half},
		": by 18 Feb, between 15 and 21 Feb":                    {Mean: 1.2, Half: half, Most: most, Last: last},
		": half of them probably more than sixteen weeks ahead": {Mean: 14.2},
		"": {Mean: 1.2},
		": half of them by 18 Feb, between 15 and 21 Feb; the last by about 20 Mar": {Mean: 14.2, Half: half, Most: alone, Last: alone},
	} {
		if got := s.RipeByWords(&x); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	for want, x := range map[string]forecast.RipeBy{
		"–": {}, "20 Mar 2026 (no interval)": alone, "18 Feb 2026 (15 – 21 Feb 2026)": half, "9 Mar 2026 (28 Feb – 19 Mar 2026)": most,
	} {
		if got := s.ByDay(x); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
