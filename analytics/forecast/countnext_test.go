package forecast_test

import (
	"testing"
	"time"
)

// TestCountedJustNow: a plant whose fruit were all counted today isn't to be counted again this evening; in a few days, or where the count was of one stage, it may be.
func TestCountedJustNow(t *testing.T) {
	const before = "count 2026-05-01T18:00:00Z green=40 breaker=4 turning=3 red=2\n"
	last := instant("2026-05-12T18:00:00Z")
	for _, x := range []struct {
		count string
		after time.Duration
		want  int
	}{
		{"green=10 breaker=20 turning=20 red=30", 2 * time.Hour, 0}, {"green=10 breaker=20 turning=20 red=30", 5 * 24 * time.Hour, 1}, {"red=20", 2 * time.Hour, 1},
	} {
		f := forecastOf(t, trialOf(t, before+"count 2026-05-12T18:00:00Z "+x.count), last.Add(x.after))
		if len(f.CountNext) != x.want {
			t.Errorf("%s, %v later: %+v, want %d", x.count, x.after, f.CountNext, x.want)
		}
	}
}
