package forecast_test

import (
	"slices"
	"testing"
)

// TestToldBy: one visit tells nothing of how long fruit stay in a stage, whatever it makes likelier; later ones do, of the stages that fruit went through.
func TestToldBy(t *testing.T) {
	f := forecastOf(t, trialOf(t, slices.Repeat([]string{"count 2026-05-01 green=20 breaker=0 turning=8 red=6"}, 4)...), instant("2026-05-01T20:00:00Z"))
	if c := &f.Cultivars[0]; !c.FromTables {
		t.Errorf("from one visit: %+v", c.Residence)
	}
	trial, asOf := grown("steady", 1)
	f = forecastOf(t, trial, asOf)
	for stage := range f.Cultivars[0].Residence {
		if c := &f.Cultivars[0]; c.FromTables || !c.Told(stage) {
			t.Errorf("on day 112 of a season: %+v", c.Residence[stage])
		}
	}
}
