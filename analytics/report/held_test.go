package report_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// TestHeldWeeks: what became ripe in a week by the look back is what the counts of one plant say when they are read by hand.
func TestHeldWeeks(t *testing.T) {
	trial := bed("A1")
	red := []int{0, 0, 3, 8, 15, 19} // ripe fruit, none of them picked, at weekly counts
	for week, n := range red {
		counted(trial, 0, 1+7*week, 60-n, 0, 0, n)
	}
	trial.Arrange()
	h := report.Of(trial, report.Options{}).Ahead
	weeks := h.Held().Weeks
	if len(weeks) < 3 {
		t.Fatalf("got %d weeks (%s), want three or more", len(weeks), h.Held().Why)
	}
	for i, w := range weeks {
		last := len(red) - 1 - i
		if want := red[last] - red[last-1]; w.Ripened != want || w.AtLeast != float64(want) || w.AtMost != float64(want) || w.To.DaysSince(w.From) != 7 || w.Plants != 1 || w.Counts != last {
			t.Errorf("the week to %s: %+v; want %d fruit of one plant, by %d counts", w.To, w, want, last)
		}
	}
}

// TestHeldWithoutDoubt: a week in which more ripe fruit was picked than can have stood is left out, since nobody knows how many became ripe in it; the others stay
// as they were.
func TestHeldWithoutDoubt(t *testing.T) {
	weeks := func(pickings ...[2]int) map[string]bool {
		trial := bed("A1")
		red := []int{0, 0, 3, 8, 15, 19}
		for week, n := range red {
			counted(trial, 0, 1+7*week, 60-n, 0, 0, n)
		}
		for _, p := range pickings {
			picked(trial, 0, p[0], p[1], 0)
		}
		trial.Arrange()
		from := map[string]bool{}
		for _, w := range report.Of(trial, report.Options{}).Ahead.Held().Weeks {
			from[w.From.String()] = true
		}
		return from
	}
	whole, doubted := weeks(), weeks([2]int{22, 40})
	if !whole["2026-05-15"] || doubted["2026-05-15"] {
		t.Errorf("weeks from %v; with 40 picked on 22 May, where 8 stood: %v", whole, doubted)
	}
	if !doubted["2026-05-08"] || !doubted["2026-05-29"] {
		t.Errorf("only the week of the picking is in doubt, but the weeks are %v", doubted)
	}
}

// TestHeldKnowsNoFuture: what is recorded after a week began changes nothing in its forecast.
func TestHeldKnowsNoFuture(t *testing.T) {
	trial := demoseasons.Load(t)[demoseasons.Winter]
	whole := report.Of(trial, report.Options{})
	held := whole.Ahead.Held()
	if len(held.Weeks) < 4 {
		t.Fatalf("got %d weeks, too few to say anything", len(held.Weeks))
	}
	first := held.Weeks[1]
	end := first.From.AddDays(1).Start(whole.AsOf.Location()).Add(-time.Millisecond)
	then := report.Of(trial, report.Options{AsOf: end})
	days := then.RipeByDay()[first.To.DaysSince(first.From)-1]
	if days.Quantiles.Low != first.Low || days.Quantiles.High != first.High || report.Rounded(days.Mean, 6) != report.Rounded(first.Mean, 6) {
		t.Errorf("looking back, the forecast of %s was %.2f (%d to %d); a report of that day says %.2f (%d to %d)", first.From, first.Mean, first.Low, first.High,
			days.Mean, days.Quantiles.Low, days.Quantiles.High)
	}
}

// TestHeldSentence: the sentence has the numbers of the table.
func TestHeldSentence(t *testing.T) {
	for name, trial := range demoseasons.Load(t) {
		r := report.Of(trial, report.Options{})
		h := r.Ahead.Held()
		inside, ripened, mean := 0, 0, 0.0
		for _, w := range h.Weeks {
			mean, ripened = mean+w.Mean, ripened+w.Ripened
			if w.Low <= w.Ripened && w.Ripened <= w.High {
				inside++
			}
		}
		want := fmt.Sprintf("In %d of %d weeks", inside, len(h.Weeks))
		if s := r.HeldSentence(); len(h.Weeks) == 0 || !strings.HasPrefix(s, want) || !strings.Contains(s, fmt.Sprintf("about %s were forecast, and %d became ripe", report.Rounded(mean, 0), ripened)) {
			t.Errorf("%s: %q, want %q, about %.0f and %d", name, s, want, mean, ripened)
		}
	}
}

// TestTooFewToLookBack says why in words.
func TestTooFewToLookBack(t *testing.T) {
	trial := bed("A1")
	counted(trial, 0, 1, 20, 2, 1, 0)
	trial.Plants[0].SownOn = &crop.Date{Year: 2026, Month: 2, Day: 1}
	trial.Arrange()
	r := report.Of(trial, report.Options{})
	if h := r.Ahead.Held(); len(h.Weeks) != 0 || !strings.Contains(h.Why, "too few counts") || r.HeldSentence() != "" {
		t.Errorf("got %+v and %q", h, r.HeldSentence())
	}
}
