package forecast_test

import (
	"testing"

	"vinetally/analytics/crop"
)

// TestSownTooLate: fruit that was counted stands, whatever day of sowing was written down.
func TestSownTooLate(t *testing.T) {
	for _, days := range []int{1, 10, 20, 24, 26, 30, 40} {
		trial := trialOf(t, "count 2026-05-20T18:00:00Z green=30 breaker=0 turning=0 red=0\ncount 2026-05-22T18:00:00Z green=31 breaker=0 turning=0 red=0")
		sown := crop.Date{Year: 2026, Month: 5, Day: 20}.AddDays(-days)
		trial.Plants[0].SownOn = &sown
		for _, at := range []string{"2026-05-20T20:00:00Z", "2026-05-22T20:00:00Z"} {
			f := forecastOf(t, trial, instant(at))
			if green := f.Plants[0].Standing[0].Mean; green < 29 || green > 34 {
				t.Errorf("sown %d days before the first count, on %s: %.2f green fruit stand where 30 or 31 were counted", days, at, green)
			}
		}
	}
}
