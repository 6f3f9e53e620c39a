package pastripe_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/ledger/ledgertest"
	"vinetally/analytics/pastripe"
)

func plantOf(t *testing.T, script, asOf string, holdDays float64) pastripe.Plant {
	t.Helper()
	s, err := ledgertest.Parse(script)
	if err != nil {
		t.Fatal(err)
	}
	now, err := time.Parse(time.RFC3339Nano, asOf)
	if err != nil {
		t.Fatal(err)
	}
	return pastripe.Of(s.Records, ledger.Of(s.Records), now, holdDays)
}

func show(p *pastripe.Plant) string {
	standing, longest := "?", "?"
	if p.StandingRipe != nil {
		standing = fmt.Sprint(*p.StandingRipe)
	}
	if p.LongestDays != nil {
		longest = fmt.Sprintf("%.2f", *p.LongestDays)
	}
	return fmt.Sprintf("certain %d standing %s (at least %d) longest %s", p.Certain, standing, p.StandingRipeAtLeast, longest)
}

// TestOf works cases by hand; the working is in the name or beside it.
func TestOf(t *testing.T) {
	for _, c := range []struct {
		name, script, asOf string
		hold               float64
		want               string
	}{
		{
			name: "five ripe ten days ago, two picked since, two newly ripe",
			script: `count 2026-02-01T09:00:00Z green=5 breaker=0 turning=2 red=5
				pick 2026-02-05T09:00:00Z red 2
				count 2026-02-09T09:00:00Z green=5 breaker=0 turning=0 red=5`,
			asOf: "2026-02-11T09:00:00Z", want: "certain 3 standing 5 (at least 5) longest ?",
		},
		{
			name:   "the hold time isn't over by a second",
			script: `count 2026-02-01T09:00:00Z green=5 breaker=0 turning=0 red=5`,
			asOf:   "2026-02-08T08:59:59Z", want: "certain 0 standing 5 (at least 5) longest ?",
		},
		{
			name:   "the hold time is just over",
			script: `count 2026-02-01T09:00:00Z green=5 breaker=0 turning=0 red=5`,
			asOf:   "2026-02-08T09:00:00Z", want: "certain 5 standing 5 (at least 5) longest ?",
		},
		{
			name:   "a day alone may have been its last moment: not yet",
			script: `count 2026-02-01 green=5 breaker=0 turning=0 red=5`,
			asOf:   "2026-02-08T23:59:59Z", want: "certain 0 standing 5 (at least 5) longest ?",
		},
		{
			name:   "a day alone may have been its last moment: now",
			script: `count 2026-02-01 green=5 breaker=0 turning=0 red=5`,
			asOf:   "2026-02-09T00:00:00Z", want: "certain 5 standing 5 (at least 5) longest ?",
		},
		{
			// Clocks go forward in Lisbon on 29 March 2026: the week has 167 hours.
			name: "a week across a change of clocks is a week",
			script: `zone Europe/Lisbon
				count 2026-03-25T09:00:00Z red=1`,
			asOf: "2026-04-01T09:00:00+01:00", want: "certain 1 standing 1 (at least 1) longest ?",
		},
		{
			name: "half a day is twelve hours", hold: 0.5,
			script: `count 2026-02-01T09:00:00Z red=2`,
			asOf:   "2026-02-01T21:00:00Z", want: "certain 2 standing 2 (at least 2) longest ?",
		},
		{
			name: "what is picked after the count at its own moment counts against it",
			script: `count 2026-02-01 red=5
				pick 2026-02-01 red 3
				loss 2026-02-01 red 1 dropped`,
			asOf: "2026-02-20T00:00:00Z", want: "certain 2 standing 2 (at least 2) longest ?",
		},
		{
			// The count has no time, the picking has: which came first isn't known. By the convention the count is at noon,
			// so 5 still stand; but the 3 may have been among the 5.
			name: "a picking that can't be ordered counts against certain",
			script: `count 2026-02-01 red=5
				pick 2026-02-01T08:00:00Z red 3`,
			asOf: "2026-02-20T00:00:00Z", want: "certain 2 standing 5 (at least 5) longest ?",
		},
		{
			name: "a partial count is a lower bound",
			script: `count 2026-02-01 red=4 trusses=2/5
				pick 2026-02-03 red 1`,
			asOf: "2026-02-20T00:00:00Z", want: "certain 3 standing ? (at least 3) longest ?",
		},
		{
			name:   "a count given up is a lower bound",
			script: `count 2026-02-01 red=4 at_least`,
			asOf:   "2026-02-20T00:00:00Z", want: "certain 4 standing ? (at least 4) longest ?",
		},
		{
			name:   "a glance is none",
			script: `count 2026-02-01 red=40 about`,
			asOf:   "2026-02-20T00:00:00Z", want: "certain 0 standing ? (at least 0) longest ?",
		},
		{
			name: "a unit picking is deducted in full",
			script: `count 2026-02-01 red=5
				unit pick 2026-02-02 red 4`,
			asOf: "2026-02-20T00:00:00Z", want: "certain 1 standing ? (at least 1) longest ?",
		},
		{
			name: "a unit picking of unripe fruit doesn't matter",
			script: `count 2026-02-01 red=5
				unit pick 2026-02-02 green 4`,
			asOf: "2026-02-20T00:00:00Z", want: "certain 5 standing 5 (at least 5) longest ?",
		},
		{
			name: "nothing is certain from before a picking that was only weighed",
			script: `count 2026-02-01 red=5
				pick 2026-02-02 red ?
				count 2026-02-05 red=2`,
			asOf: "2026-02-11T00:00:00Z", hold: 6, want: "certain 0 standing 2 (at least 2) longest ?",
		},
		{
			name: "but from after it",
			script: `count 2026-02-01 red=5
				pick 2026-02-02 red ?
				count 2026-02-05 red=2`,
			asOf: "2026-02-13T00:00:00Z", want: "certain 2 standing 2 (at least 2) longest ?",
		},
		{
			// Three red went missing by the 9th; of the five of the 1st at least two hang.
			name: "ripe fruit unaccounted for is deducted",
			script: `count 2026-02-01 green=9 breaker=0 turning=0 red=5
				count 2026-02-09 green=7 breaker=0 turning=0 red=4
				pick 2026-02-08 red 0
				loss 2026-02-09 red 1 thinned`,
			// Ever red: 5, then 4: one missing. Then one was taken after the count: 5 - 1 - 1 = 3.
			asOf: "2026-02-12T00:00:00Z", want: "certain 3 standing 3 (at least 3) longest ?",
		},
		{
			// On the 5th red fell by 2; on the 9th 3 have ripened. Of the five of the 1st, 3 hang at least.
			name: "missing then refilled",
			script: `count 2026-02-01 green=9 breaker=0 turning=0 red=5
				count 2026-02-05 green=9 breaker=0 turning=0 red=3
				count 2026-02-09 green=6 breaker=0 turning=0 red=6`,
			asOf: "2026-02-10T00:00:00Z", want: "certain 3 standing 6 (at least 6) longest ?",
		},
		{
			// The total is 2 short and which stage isn't known: both may have been ripe.
			name: "fruit missing at an unknown stage may have been ripe",
			script: `count 2026-02-01 green=9 breaker=0 turning=0 red=5
				count 2026-02-09 total=12`,
			asOf: "2026-02-10T00:00:00Z", want: "certain 3 standing ? (at least 3) longest ?",
		},
		{
			name: "until a later count tells that they were not",
			script: `count 2026-02-01 green=9 breaker=0 turning=0 red=5
				count 2026-02-09 total=12
				count 2026-02-10 green=7 breaker=0 turning=0 red=5`,
			asOf: "2026-02-11T00:00:00Z", want: "certain 5 standing 5 (at least 5) longest ?",
		},
		{
			// Ten were seen at least, later there are five, and chance makes up for two: the ten may never have been there, and those
			// of the 9th haven't hung for a week.
			name: "a doubted count bears nothing",
			script: `count 2026-02-01 red=10 at_least
				count 2026-02-09 red=5
				pick 2026-02-10 red 2
				count 2026-02-11 red=9`,
			asOf: "2026-02-12T00:00:00Z", want: "certain 0 standing 9 (at least 9) longest ?",
		},
		{
			// 44 written for 4. A week after it 6 hang, of which 2 have ripened since: that they all hung for a week would be wrong.
			// The four of the 30th have, if the 38 weren't there; if they were, any of the four may be among those gone.
			name: "a digit doubled",
			script: `count 2026-01-30 green=9 breaker=0 turning=2 red=4
				count 2026-02-01 green=9 breaker=0 turning=2 red=44
				count 2026-02-09 green=9 breaker=0 turning=0 red=6`,
			asOf: "2026-02-12T00:00:00Z", want: "certain 0 standing 6 (at least 6) longest ?",
		},
		{
			// Five were picked right after a count of three. How many hang isn't known; of the three none for sure.
			name: "more picked than stood",
			script: `count 2026-02-01T09:00:00Z green=9 breaker=0 turning=2 red=3
				pick 2026-02-01T10:00:00Z red 5`,
			asOf: "2026-02-12T00:00:00Z", want: "certain 0 standing ? (at least 0) longest 10.58",
		},
		{
			// Six were seen at least, later there are five, which chance makes up for: no more than five of the six can be left, and
			// two were picked since.
			name: "a later exact count caps an earlier bound",
			script: `count 2026-02-01 red=6 at_least
				count 2026-02-09 red=5
				pick 2026-02-10 red 2
				count 2026-02-11 red=9`,
			asOf: "2026-02-12T00:00:00Z", want: "certain 3 standing 9 (at least 9) longest ?",
		},
		{
			// Soft fruit can't have been picked as red: the two soft ones of the 1st still hang.
			name: "a stage after ripe is told apart",
			script: `scale green red soft ripe=red
				count 2026-02-01 green=9 red=1 soft=2
				pick 2026-02-05 red 3`,
			asOf: "2026-02-12T00:00:00Z", want: "certain 2 standing 2 (at least 2) longest ?",
		},
		{
			// The unfinished count saw two soft ones; later one fruit is ripe or beyond in all. One of the records is wrong.
			name: "never more than the ripe fruit that stands",
			script: `scale green red soft ripe=red
				count 2026-02-01 soft=2 at_least
				count 2026-02-09 green=9 total=10`,
			asOf: "2026-02-12T00:00:00Z", want: "certain 1 standing 1 (at least 1) longest ?",
		},
		{
			name: "picking as many as an earlier count of the day had settles nothing",
			script: `count 2026-02-03T09:00:00Z red=3
				count 2026-02-03T15:00:00Z red=5
				pick 2026-02-03T16:00:00Z red 3
				count 2026-02-05T09:00:00Z red=2`,
			asOf: "2026-02-06T09:30:00Z", want: "certain 0 standing 2 (at least 2) longest ?",
		},
		{
			name: "nothing was recorded", script: `plant A1`,
			asOf: "2026-02-12T00:00:00Z", want: "certain 0 standing ? (at least 0) longest ?",
		},
		{
			name: "the plant is gone",
			script: `plant A1 removed=2026-02-05
				count 2026-02-01 red=5`,
			asOf: "2026-02-12T00:00:00Z", want: "certain 0 standing 0 (at least 0) longest ?",
		},
		{
			name: "no hold time is given: seven days", hold: math.NaN(),
			script: `count 2026-02-01T09:00:00Z red=0
				count 2026-02-02T09:00:00Z red=2`,
			asOf: "2026-02-09T09:00:00Z", want: "certain 2 standing 2 (at least 2) longest 8.00",
		},
		{
			// A count of none on a day alone: none hung at some moment of the 3rd, at the earliest as it began.
			name: "longest since a count of none",
			script: `count 2026-02-03 red=0
				count 2026-02-05 red=2`,
			asOf: "2026-02-09T12:00:00Z", want: "certain 0 standing 2 (at least 2) longest 6.50",
		},
		{
			name: "longest since all were picked, half an hour after the count",
			script: `count 2026-02-03T09:00:00Z red=3
				pick 2026-02-03T09:20:00Z red 2
				pick 2026-02-03T09:30:00Z red 1
				count 2026-02-05T09:00:00Z red=2`,
			asOf: "2026-02-06T09:30:00Z", want: "certain 0 standing 2 (at least 2) longest 3.00",
		},
		{
			name: "picking all but one settles nothing",
			script: `count 2026-02-03T09:00:00Z red=3
				pick 2026-02-03T09:20:00Z red 2
				count 2026-02-05T09:00:00Z red=2`,
			asOf: "2026-02-06T09:30:00Z", want: "certain 0 standing 2 (at least 2) longest ?",
		},
		{
			name: "picking as many the day after settles nothing: another may have ripened",
			script: `count 2026-02-03T09:00:00Z red=3
				pick 2026-02-04T09:20:00Z red 3
				count 2026-02-05T09:00:00Z red=2`,
			asOf: "2026-02-06T09:30:00Z", want: "certain 0 standing 2 (at least 2) longest ?",
		},
		{
			name: "a partial count of none settles nothing",
			script: `count 2026-02-03 red=0 trusses=1/4
				count 2026-02-05 red=2`,
			asOf: "2026-02-09T12:00:00Z", want: "certain 0 standing 2 (at least 2) longest ?",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := plantOf(t, c.script, c.asOf, c.hold)
			if got := show(&p); got != c.want {
				t.Errorf("got  %s\nwant %s\nwarnings %q", got, c.want, p.Warnings)
			}
			if len(p.Warnings) == 0 || p.Warnings[0] != pastripe.RestsOnRecords {
				t.Errorf("the sentence that it rests on complete records is missing: %q", p.Warnings)
			}
		})
	}
}

// TestHold: the hold time asked for goes before the cultivar's own, that before seven days.
func TestHold(t *testing.T) {
	book := ledger.Book{}
	for _, c := range []struct {
		name     string
		cultivar *crop.Cultivar
		asked    float64
		want     float64
	}{
		{"asked for", &crop.Cultivar{HoldDays: new(3.0)}, 13, 13},
		{"the cultivar's own", &crop.Cultivar{HoldDays: new(3.0)}, 0, 3},
		{"neither", &crop.Cultivar{}, 0, 7},
		{"no cultivar", nil, 0, 7},
		{"not a number", &crop.Cultivar{HoldDays: new(3.0)}, math.NaN(), 3},
		{"negative", nil, -1, 7},
		{"without end", nil, math.Inf(1), math.Inf(1)},
	} {
		p := pastripe.Of(crop.PlantRecords{Cultivar: c.cultivar}, book, time.Time{}, c.asked)
		if p.HoldDays != c.want {
			t.Errorf("%s: hold %v days, want %v", c.name, p.HoldDays, c.want)
		}
	}
	if p := plantOf(t, "count 2026-02-01 red=3", "2026-12-01T00:00:00Z", math.Inf(1)); p.Certain != 0 {
		t.Errorf("certain %d with a hold time without end, want 0", p.Certain)
	}
}

// TestSum: the season adds up, says once what it rests on, and leaves open what a plant leaves open.
func TestSum(t *testing.T) {
	known := plantOf(t, "count 2026-02-01 red=3", "2026-02-20T00:00:00Z", 7)
	young := plantOf(t, "count 2026-02-19 red=2", "2026-02-20T00:00:00Z", 7)
	partly := plantOf(t, "count 2026-02-01 red=1 at_least", "2026-02-20T00:00:00Z", 7)

	s := pastripe.Sum([]pastripe.Plant{known, young})
	if s.StandingRipe == nil || *s.StandingRipe != 5 || s.StandingRipeAtLeast != 5 || s.Certain != 3 || s.PlantsCertain != 1 {
		t.Errorf("got %+v, want 5 standing, 3 certain on 1 plant", s)
	}
	if got := strings.Join(s.Warnings, "|"); got != pastripe.RestsOnRecords {
		t.Errorf("warnings %q, want the one sentence", got)
	}
	s = pastripe.Sum([]pastripe.Plant{known, young, partly})
	if s.StandingRipe != nil || s.StandingRipeAtLeast != 6 || s.Certain != 4 || s.PlantsCertain != 2 || len(s.Warnings) != 2 {
		t.Errorf("got %+v, want an open number, at least 6 standing, 4 certain on 2 plants", s)
	}
}
