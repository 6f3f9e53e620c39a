package forecast_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestLostUnripe: how often green fruit is foreseen to go by itself is by what was recorded as lost, over the fruit-days that it stood (one in two
// thousand before anything is known, which weighs as 200 fruit-days), whatever was thinned on purpose; and what is still to come is less for it.
func TestLostUnripe(t *testing.T) {
	const fruit, days, lost = 30, 24, 6
	script := func(cause string) string {
		var b strings.Builder
		left := fruit
		for day := 1; day <= days; day += 4 {
			fmt.Fprintf(&b, "count 2026-05-%02d green=%d breaker=0 turning=0 red=0\n", day, left)
			if cause != "" {
				fmt.Fprintf(&b, "loss 2026-05-%02d green 1 %s\n", day+2, cause)
				left--
			}
		}
		return b.String()
	}
	gone := map[string]float64{"dried": lost, "thinned": lost}
	hazard, toCome := map[string]float64{}, map[string]float64{}
	for _, cause := range []string{"", "dried", "thinned"} {
		f := forecastOf(t, trialOf(t, script(cause)), instant("2026-05-24T20:00:00Z"))
		hazard[cause], toCome[cause] = f.Cultivars[0].Observing.Gone[0], f.ToCome.Mean/(fruit-gone[cause])
	}
	stood := fruit * days * 1.0
	if want := (lost + 0.1) / (stood + 200); math.Abs(hazard["dried"]-want) > 0.25*want {
		t.Errorf("%d of %d fruit dried in %d days: a hazard of %v a day, want about %v", lost, fruit, days, hazard["dried"], want)
	}
	if want := 0.1 / (stood + 200); math.Abs(hazard[""]-want) > 0.25*want || math.Abs(hazard["thinned"]-want) > 0.25*want {
		t.Errorf("a hazard of %v a day of fruit that stays, %v of thinned fruit, want about %v", hazard[""], hazard["thinned"], want)
	}
	if toCome["dried"] > 0.95*toCome["thinned"] {
		t.Errorf("of each fruit %v is to come where some dries, %v where some is thinned", toCome["dried"], toCome["thinned"])
	}
}
