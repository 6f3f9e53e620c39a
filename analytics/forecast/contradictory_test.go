package forecast_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/ripening"
)

const fourteen = "count 2026-05-12 green=9 breaker=2 turning=1 red=2\n"

// TestTakenTooMany: where more was taken than can have hung, a word points at the record and at the count that it disagrees with, and the interval
// admits that fruit may hang which nobody counted.
func TestTakenTooMany(t *testing.T) {
	for script, say := range map[string]string{
		fourteen + "pick 2026-05-18 red 50":                                          "A1, 18 May 2026: 50 red fruit picked where about",
		fourteen + "loss 2026-05-18 green 50 thinned":                                "A1, 18 May 2026: 50 green fruit lost where about",
		everyWeek(4, usual) + "pick 2026-04-25 red 90\n":                             "A1, 25 Apr 2026: 90 red fruit picked where about",
		"count 2026-05-12 green=0 breaker=0 turning=0 red=0\npick 2026-05-14 red 30": "30 red fruit picked where about 0 can have hung by the count of 12 May 2026",
	} {
		f := forecastOf(t, trialOf(t, script), instant("2026-05-20T20:00:00Z"))
		if words := strings.Join(f.Warnings, "\n"); !strings.Contains(words, say) {
			t.Errorf("nothing of %q is said, but\n%s", say, words)
		}
		if p := &f.Plants[0]; !strings.HasPrefix(script, "count 2026-05-12 green=0") && p.ToCome.High < 12 {
			t.Errorf("%q: no more than %d are to come, for sure", script, p.ToCome.High)
		}
	}
}

// TestTakenAsManyAsHung: nobody is told that a usual picking is too much, nor one before the first count.
func TestTakenAsManyAsHung(t *testing.T) {
	for _, script := range []string{
		fourteen + "pick 2026-05-18 red 4",
		fourteen + "pick 2026-05-12 red 2\npick 2026-05-12 turning 1",
		"pick 2026-05-02 red 50\n" + fourteen,
		everyWeek(4, usual) + "pick 2026-04-25 red 3\n",
	} {
		f := forecastOf(t, trialOf(t, script), instant("2026-05-20T20:00:00Z"))
		if words := strings.Join(f.Warnings, "\n"); strings.Contains(words, "can have hung") {
			t.Errorf("%q: %s", script, words)
		}
	}
}

// TestCountAfterContradiction: after a picking of more than can have hung, the next count is believed.
func TestCountAfterContradiction(t *testing.T) {
	f := forecastOf(t, trialOf(t, fourteen+"pick 2026-05-18 red 50\ncount 2026-05-21 green=6 breaker=1 turning=1 red=1\ncount 2026-05-25 green=5 breaker=2 turning=1 red=1"), instant("2026-05-25T20:00:00Z"))
	for s, counted := range []float64{5, 2, 1, 1} {
		if n := f.Plants[0].Standing[s]; math.Abs(n.Mean-counted) > 1.2 {
			t.Errorf("%v counted, %.1f are thought to stand in stage %d", counted, n.Mean, s)
		}
	}
}

// TestSurprisingCount: a count that can't be true beside those before it is wrong or they are, and the interval holds both.
func TestSurprisingCount(t *testing.T) {
	f := forecastOf(t, trialOf(t, "count 2026-05-12 green=50 breaker=2 turning=1 red=2\ncount 2026-05-19 green=3 breaker=2 turning=1 red=2\ncount 2026-05-25 green=60 breaker=3 turning=3 red=3"), instant("2026-05-25T20:00:00Z"))
	if c := f.Plants[0].ToCome; c.Low > 9 || c.High < 60 {
		t.Errorf("between 9 and 66 are still to come, by one of two counts; told are %d to %d", c.Low, c.High)
	}
}

// TestCountAfterSilence: the first count after a time for which a plant isn't followed surprises nobody, however many stood before.
func TestCountAfterSilence(t *testing.T) {
	now := instant("2026-05-12T20:00:00Z")
	before := now.AddDate(0, 0, -ripening.LongestSilence-300).Format(time.DateOnly)
	f := forecastOf(t, trialOf(t, "count "+before+" green=500 red=500\ncount 2026-05-12 green=9 breaker=2 turning=1 red=2"), now)
	if c := f.Plants[0].ToCome; c.High > 40 {
		t.Errorf("12 that aren't ripe were counted, up to %d are to come", c.High)
	}
	if words := strings.Join(f.Warnings, "\n"); strings.Contains(words, "were expected") {
		t.Error(words)
	}
}

// TestBasisOfNone: a plant on which nothing has set is no basis of “0 fruit that set”.
func TestBasisOfNone(t *testing.T) {
	f := forecastOf(t, trialOf(t, "count 2026-05-12 green=0 breaker=0 turning=0 red=0"), instant("2026-05-13T20:00:00Z"))
	if words := f.Basis(); strings.Contains(words, "0 fruit that set") || !strings.Contains(words, "1 count, on 1 plant that still stands") {
		t.Error(words)
	}
}
