package api

import (
	"testing"
	"time"

	"vinetally/analytics/crop"
)

func TestSpan(t *testing.T) {
	first, last := &crop.Date{Year: 2025, Month: time.December, Day: 4}, &crop.Date{Year: 2026, Month: time.March, Day: 1}
	for _, c := range []struct {
		season crop.Season
		want   string
	}{
		{crop.Season{}, ""},
		{crop.Season{FirstDay: first}, "since 4 Dec 2025"},
		{crop.Season{LastDay: last}, "until 1 Mar 2026"},
		{crop.Season{FirstDay: first, LastDay: last}, "4 Dec 2025 – 1 Mar 2026"},
	} {
		if got := span(&c.season); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}
