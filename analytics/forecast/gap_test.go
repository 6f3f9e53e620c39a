package forecast_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ripening"
)

// TestGaps: between two counts of a plant there is one gap, though fruit found fallen is written down at the instant of a count.
func TestGaps(t *testing.T) {
	const counts = `count 2026-05-01T18:00:00Z green=10 breaker=2 turning=2 red=6
		count 2026-05-11T18:00:00Z green=8 breaker=2 turning=2 red=9
		count 2026-05-21T18:00:00Z green=6 breaker=2 turning=2 red=12
		`
	for _, loss := range []string{"", "loss 2026-05-11T17:59:00Z red 1 dropped", "loss 2026-05-11T18:00:00Z red 1 dropped", "pick 2026-05-21T18:00:00Z red 1"} {
		trial, asOf := trialOf(t, counts+loss), instant("2026-05-21T20:00:00Z")
		gaps := modelOf(trial.AsOf(asOf), asOf).Hanging(func(*ripening.Plant) float64 { return 7 }).Gaps
		var days []float64
		for _, g := range gaps {
			if d := g.To.Sub(g.From).Hours() / 24; d > 1 {
				days = append(days, d)
			}
		}
		if len(days) != 2 || days[0] != 10 || days[1] != 10 {
			t.Errorf("with %q the gaps are of %v days, want 10 and 10", loss, days)
		}
	}
}

// TestGapsOfADay: plants counted on the same days where they stand missed the same visit, on whichever side of midnight in Greenwich.
func TestGapsOfADay(t *testing.T) {
	rounds := func(from string) string {
		var b strings.Builder
		for week := range 4 {
			fmt.Fprintf(&b, "count %s green=10 breaker=2 turning=2 red=6\n", instant(from).AddDate(0, 0, 7*week).Format(time.RFC3339))
		}
		return b.String()
	}
	asOf := instant("2026-05-24T20:00:00Z")
	for _, second := range []string{"2026-05-01T20:30:00Z", "2026-05-02T00:15:00Z"} {
		trial := trialOf(t, rounds("2026-05-01T20:00:00Z"), rounds(second))
		for i := range trial.Places {
			trial.Places[i].TimeZone = "America/Los_Angeles"
		}
		trial.Arrange()
		c := forecast.IntervalsOf(modelOf(trial.AsOf(asOf), asOf), forecast.Options{Days: 14}).Costliest
		if c == nil || c.Plants != 2 {
			t.Errorf("the second plant counted at %s: the costliest gap is %+v, want one of two plants", second, c)
		}
	}
}

// TestGapsEnd: what hung on a plant after it was removed, or the season had ended, is nobody's missed visit; nor is what hung before that told differently later.
func TestGapsEnd(t *testing.T) {
	counts := everyWeek(8, func(week int) string { return fmt.Sprintf("green=%d breaker=2 turning=2 red=3", 30-2*week) })
	asOf := func(days int) time.Time { return instant("2026-05-22T18:00:00Z").AddDate(0, 0, days) }
	told := func(text string, last *crop.Date, days int) (gaps []string) {
		trial := trialOf(t, text)
		trial.Season.LastDay = last
		for _, g := range modelOf(trial.AsOf(asOf(days)), asOf(days)).Hanging(func(*ripening.Plant) float64 { return 7 }).Gaps {
			gaps = append(gaps, fmt.Sprintf("%s to %s: %.3f", g.From, g.To, g.Passed))
		}
		return gaps
	}
	last := crop.Date{Year: 2026, Month: 5, Day: 23}
	for _, days := range []int{20, 50, 59, 61, 120} {
		standing := told(counts, nil, days)
		for how, gaps := range map[string][]string{"removed": told("plant A1 removed=2026-05-23\n"+counts, nil, days), "the season over": told(counts, &last, days)} {
			if len(gaps) == 0 || !strings.Contains(gaps[len(gaps)-1], "to 2026-05-24 00:00:00") {
				t.Errorf("%s, %d days after: %v", how, days, gaps)
			}
		}
		if len(standing) == 0 || strings.Contains(standing[len(standing)-1], "to 2026-05-24") {
			t.Errorf("standing, after %d days: %v", days, standing)
		}
	}
}
