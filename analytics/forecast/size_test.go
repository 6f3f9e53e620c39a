package forecast_test

import (
	"fmt"
	"testing"
)

// TestChances: what a forecast holds in memory is counted, so that one of nonsense counts, which holds a thousand times as much, isn't kept as if it were like others.
func TestChances(t *testing.T) {
	of := func(fruit int) int {
		text := ""
		for week := range 4 {
			text += fmt.Sprintf("count 2026-05-%02d green=%d breaker=0 turning=0 red=%d\n", 1+7*week, fruit*((week+1)%2), fruit*(week%2))
		}
		return forecastOf(t, trialOf(t, text), instant("2026-05-23T20:00:00Z")).Chances()
	}
	if usual, nonsense := of(40), of(100_000); usual < 28 || usual > 20_000 || nonsense < 20*usual {
		t.Errorf("%d chances for 40 fruit, %d for 100,000", usual, nonsense)
	}
}
