package phenology

import (
	"fmt"
	"strings"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/ledger/ledgertest"
)

func plantOf(t *testing.T, script string) (crop.PlantRecords, ledger.Book) {
	t.Helper()
	s, err := ledgertest.Parse(script)
	if err != nil {
		t.Fatal(err)
	}
	s.Records.Plant.SownOn = &crop.Date{Year: 2026, Month: 3, Day: 1}
	return s.Records, ledger.Of(s.Records)
}

func told(all []Milestone) string {
	var parts []string
	for _, m := range all {
		part := fmt.Sprintf("%s %s", m.Name, m.On)
		if m.After != nil {
			part += " after " + m.After.String()
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, "; ")
}

func codes(stages []Stage) (all []int) {
	for _, s := range stages {
		all = append(all, s.Code)
	}
	return all
}

const life = `
	plant A1
	count 2026-04-20 green=0 breaker=0 turning=0 red=0
	count 2026-04-27 green=6 breaker=0 turning=0 red=0
	count 2026-05-20 green=10 breaker=0 turning=0 red=0
	count 2026-05-27 green=7 breaker=2 turning=1 red=0
	count 2026-06-03 green=4 breaker=1 turning=2 red=3
	pick 2026-06-03 red 3
	count 2026-06-10 green=2 breaker=1 turning=1 red=3
`

func TestMilestones(t *testing.T) {
	r, b := plantOf(t, life)
	diary := []crop.DiaryEntry{
		{PlantID: &r.Plant.ID, Kind: "first flower", NotedAt: crop.DayMoment(crop.Date{Year: 2026, Month: 4, Day: 15}, r.Visits[0].CountedAt.At.Location())},
		{Kind: "first bud", NotedAt: crop.DayMoment(crop.Date{Year: 2026, Month: 4, Day: 1}, r.Visits[0].CountedAt.At.Location())}, // of which plant?
	}
	all, warnings := Milestones(r, &b, diary)
	want := "sown 2026-03-01; first flower 2026-04-15; first fruit 2026-04-27 after 2026-04-20; first colour 2026-05-27 after 2026-05-20; " +
		"first ripe 2026-06-03 after 2026-05-27; first picked 2026-06-03; last picked 2026-06-03"
	if got := told(all); got != want || len(warnings) > 0 {
		t.Errorf("got  %s %q\nwant %s", got, warnings, want)
	}
	// 6 of 10 had reached red on 10 June: 60 %, 86, though 3 of 7 hang red.
	if got := fmt.Sprint(codes(BBCH(all, &b))); got != "[0 61 71 86]" {
		t.Errorf("BBCH %s, want [0 61 71 86]", got)
	}
}

func TestContradictoryDiary(t *testing.T) {
	r, b := plantOf(t, life)
	late := []crop.DiaryEntry{{PlantID: &r.Plant.ID, Kind: "first flower", NotedAt: crop.DayMoment(crop.Date{Year: 2026, Month: 5, Day: 15}, r.Visits[0].CountedAt.At.Location())}}
	_, warnings := Milestones(r, &b, late)
	if len(warnings) != 1 || !strings.Contains(warnings[0], "First fruit on 27 Apr 2026 (a count) is before first flower on 15 May 2026 (the diary)") {
		t.Errorf("got %q", warnings)
	}
}

// TestRunningMaximum: a code doesn't fall when later counts find more green fruit, and nothing on record is no stage.
func TestRunningMaximum(t *testing.T) {
	r, b := plantOf(t, life+"count 2026-06-17 green=20 breaker=1 turning=1 red=3\n")
	all, _ := Milestones(r, &b, nil)
	if s := Furthest(BBCH(all, &b)); s == nil || s.Code != 86 || Principal(s.Code) != 8 {
		t.Errorf("after a second flush: %+v, want 86", s)
	}
	r, b = plantOf(t, "")
	r.Plant.SownOn = nil
	if all, _ := Milestones(r, &b, nil); len(all) > 0 || Furthest(BBCH(all, &b)) != nil {
		t.Errorf("of nothing: %v", all)
	}
}
