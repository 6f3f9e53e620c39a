package demotrial

import (
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

func TestRowsAreKnownByTheirKeys(t *testing.T) {
	keys := map[string][]string{
		seasonsFile: {"season"}, placesFile: {"place"}, scalesFile: {"scale", "stage"}, cultivarFile: {"cultivar"},
		plantsFile: {"season", "plant"}, movesFile: {"season", "plant", "moved_on"},
		counts:       {"season", "plant", "counted_at"},
		pickings:     {"season", "plant", "picked_at", "stage", "grade"},
		losses:       {"season", "plant", "lost_at", "stage", "cause"},
		temperatures: {"place", "measured_at"},
		diary:        {"season", "plant", "noted_at", "kind", "note"},
		germination:  {"season", "cultivar", "lot", "counted_on"},
	}
	for file, columns := range keys {
		seen := map[string]int{}
		records := read(t, file)
		if len(records) == 0 {
			t.Errorf("%s is empty", file)
		}
		for _, r := range records {
			var key []string
			for _, c := range columns {
				key = append(key, r.cells[c])
			}
			k := strings.Join(key, "|")
			if first, ok := seen[k]; ok {
				t.Errorf("%s:%d: %s stands on line %d already", file, r.line, k, first)
			}
			seen[k] = r.line
		}
	}
}

// TestTimes: every time is a date or RFC 3339 with the offset of the zone, not
// before the plant was sown, not after it was removed, and in the past.
func TestTimes(t *testing.T) {
	plants := byPlant(t, plantsFile)
	limit := day("2026-11-20")
	columns := map[string]string{counts: "counted_at", pickings: "picked_at", losses: "lost_at", diary: "noted_at", temperatures: "measured_at"}
	for file, column := range columns {
		datesAlone := 0
		for _, r := range read(t, file) {
			text := r.cells[column]
			at, err := time.Parse(time.RFC3339, text)
			if err != nil {
				at = day(text)
				datesAlone++
			} else if at.In(zone).Format(time.RFC3339) != text {
				t.Errorf("%s:%d: %s has not the offset of %s", file, r.line, text, zoneName)
			}
			if !at.Before(limit) {
				t.Errorf("%s:%d: %s is too late for the demo", file, r.line, text)
			}
			p := plants[r.plantKey()]
			if len(p) == 0 {
				if file != temperatures && r.cells["plant"] != "" {
					t.Errorf("%s:%d: there is no plant %s", file, r.line, r.plantKey())
				}
				continue
			}
			if dateOf(at) < p[0].cells["sown_on"] {
				t.Errorf("%s:%d: %s is before the plant was sown, %s", file, r.line, text, p[0].cells["sown_on"])
			}
			if removed := p[0].cells["removed_on"]; removed != "" && dateOf(at) > removed {
				t.Errorf("%s:%d: %s is after the plant was removed, %s", file, r.line, text, removed)
			}
		}
		if file != temperatures && datesAlone == 0 {
			t.Errorf("%s has no date alone; notebooks do", file)
		}
	}
}

// TestStages: a stage is on the plant's scale; one that was not counted is
// empty, and a count names at least one.
func TestStages(t *testing.T) {
	plants := byPlant(t, plantsFile)
	partial := 0
	for _, r := range read(t, counts) {
		scale := scaleOf(plants[r.plantKey()][0])
		named := 0
		for _, stage := range []string{"green", "breaker", "turning", "red", "orange"} {
			switch value := r.cells[stage]; {
			case value == "":
			case !slices.Contains(scale, stage):
				t.Errorf("counts.csv:%d: %s is not on the plant's scale", r.line, stage)
			default:
				r.number(t, stage)
				named++
			}
		}
		if named == 0 {
			t.Errorf("counts.csv:%d: no stage was counted", r.line)
		}
		if named < len(scale) || r.cells["at_least"] != "" || r.cells["trusses_counted"] != "" {
			partial++
		}
	}
	if partial < 6 {
		t.Errorf("%d counts that are not whole; want some of each kind", partial)
	}
	for _, file := range []string{pickings, losses} {
		for _, r := range read(t, file) {
			if !slices.Contains(scaleOf(plants[r.plantKey()][0]), r.cells["stage"]) {
				t.Errorf("%s:%d: %q is not on the plant's scale", file, r.line, r.cells["stage"])
			}
			if r.number(t, "fruits") == 0 {
				t.Errorf("%s:%d: no fruit", file, r.line)
			}
		}
	}
}

// TestNotes: the notes exercise a CSV reader.
func TestNotes(t *testing.T) {
	for _, want := range []string{",", "\"", "°", "ç", "\n"} {
		found := false
		for _, file := range []string{counts, pickings, losses, diary, plantsFile, cultivarFile} {
			for _, r := range read(t, file) {
				found = found || strings.Contains(r.cells["note"], want)
			}
		}
		if !found {
			t.Errorf("no note has %q", want)
		}
	}
	for file, content := range simulated.Files {
		if !utf8.Valid(content) {
			t.Errorf("%s is not UTF-8", file)
		}
	}
}

func TestSaysThatItIsInvented(t *testing.T) {
	for _, r := range append(read(t, seasonsFile), read(t, cultivarFile)...) {
		if !strings.Contains(r.cells["season"]+r.cells["note"], "invented") {
			t.Errorf("%v does not say that it is invented", r.cells)
		}
	}
}
