package demotrial

import (
	"slices"
	"strconv"
	"testing"
	"time"
)

func TestTwentyFiveVisits(t *testing.T) {
	visits := byPlant(t, counts)
	bearing := map[string]int{}
	for _, p := range read(t, plantsFile) {
		n := len(visits[p.plantKey()])
		switch name(p) {
		case "Winter 2026 U4b": // discarded as a seedling
			if n != 0 {
				t.Errorf("%s: %d visits, want none", name(p), n)
			}
			continue
		case "Autumn 2026 U7": // taken out before it was done
			if n < 15 {
				t.Errorf("%s: %d visits, want 15 or more", name(p), n)
			}
		default:
			if n < 25 {
				t.Errorf("%s: %d visits, want 25 or more", name(p), n)
			}
		}
		bearing[p.cells["season"]]++
	}
	for season, n := range bearing {
		if n < 8 {
			t.Errorf("%s: %d plants, want 8 or more", season, n)
		}
	}
}

// TestFortnightLeavesFruitPastRipe: nobody looked for two weeks before the last
// count, and fruit that was ripe when they left still hangs on several plants,
// whichever was lost meanwhile.
func TestFortnightLeavesFruitPastRipe(t *testing.T) {
	groups := allEvents(t)
	plants := 0
	for _, p := range simulated.Truth {
		if p.Season != autumn || p.LeftRipe == 0 {
			continue
		}
		key, ripeStage := p.Season+"|"+p.Plant, cultivarNamed(p.Cultivar).stages[ripe]
		certain, last := 0, time.Time{}
		for _, e := range events(t, groups, key) {
			switch {
			case e.file == counts && dateOf(e.at) == "2026-10-11":
				certain, last = e.number(t, ripeStage), e.at
			case e.file != counts && !last.IsZero() && e.cells["stage"] == ripeStage:
				certain -= e.number(t, "fruits")
			case e.file == counts && e.at.After(last) && !last.IsZero():
				if gap := e.at.Sub(last); gap < 14*24*time.Hour {
					t.Errorf("%s: looked at again after %v; want a fortnight", key, gap)
				}
			}
		}
		if certain > p.LeftPastRipe {
			t.Errorf("%s: %d certainly past ripe by the records, %d in truth", key, certain, p.LeftPastRipe)
		}
		if certain > 0 {
			plants++
		}
	}
	if plants < 3 {
		t.Errorf("%d plants with fruit certainly past ripe; want 3 or more", plants)
	}
}

func TestMovesAndOrigins(t *testing.T) {
	plants := byPlant(t, plantsFile)
	moves := read(t, movesFile)
	if len(moves) < 2 {
		t.Errorf("%d moves, want a seedling's and a bearing plant's", len(moves))
	}
	origins, discarded := 0, 0
	for _, group := range plants {
		p := group[0]
		origin := p.cells["origin"]
		if origin == "" {
			continue
		}
		origins++
		from := plants[p.cells["season"]+"|"+origin]
		if len(from) != 1 || from[0].cells["cultivar"] != p.cells["cultivar"] || from[0].cells["sown_on"] != p.cells["sown_on"] {
			t.Errorf("%s: comes from %s, which is not of the same sowing", name(p), origin)
		}
		if p.cells["removed_on"] != "" && p.cells["removed_on"] < addDays(p.cells["sown_on"], 40) {
			discarded++
		}
	}
	if origins != 2 || discarded != 1 {
		t.Errorf("%d plants separated from another, %d discarded; want 2 and 1", origins, discarded)
	}
}

// TestLossesByCause: enough ripe fruit was lost to speak of, and every kind of
// loss of the story is there.
func TestLossesByCause(t *testing.T) {
	found := map[string]int{}
	ripeLost := map[string]int{}
	for _, r := range read(t, losses) {
		n := r.number(t, "fruits")
		found[r.cells["cause"]] += n
		own := slices.Contains([]string{"thinned", "cleared"}, r.cells["cause"])
		if stage := r.cells["stage"]; !own && (stage == "red" || stage == "orange") {
			ripeLost[r.cells["season"]] += n
		}
	}
	for _, cause := range []string{"dropped", "split", "dried", "rotted", "pest", "thinned", "cleared"} {
		if found[cause] == 0 {
			t.Errorf("nothing was lost by %s", cause)
		}
	}
	if ripeLost[autumn] < 10 {
		t.Errorf("%d ripe fruit lost in %s, want 10 or more", ripeLost[autumn], autumn)
	}
}

func TestWeighings(t *testing.T) {
	total, withMass := map[string]int{}, map[string]int{}
	for _, r := range read(t, pickings) {
		if label := r.cells["weighing"]; label != "" {
			key := r.cells["season"] + label
			total[key]++
			if r.cells["mass_g"] != "" {
				withMass[key]++
			}
		}
	}
	if len(total) < 5 {
		t.Errorf("%d weighings of several plants, want 5 or more", len(total))
	}
	for key, n := range total {
		if n < 2 || withMass[key] != 1 {
			t.Errorf("%s: %d pickings, %d with the mass; want 2 or more and 1", key, n, withMass[key])
		}
	}
}

func TestGermination(t *testing.T) {
	last := map[string]int{}
	for _, r := range read(t, germination) {
		key := r.cells["season"] + r.cells["lot"]
		n := r.number(t, "emerged")
		if n < last[key] || n > r.number(t, "seeds") {
			t.Errorf("germination.csv:%d: %d emerged after %d, of %s seeds", r.line, n, last[key], r.cells["seeds"])
		}
		last[key] = n
	}
}

// TestTemperatures: hourly, one reading an hour even when the clocks go back,
// with gaps, and in a range that plants live in.
func TestTemperatures(t *testing.T) {
	previous := map[string]time.Time{}
	gaps, texts := map[string]int{}, map[string]bool{}
	for _, r := range read(t, temperatures) {
		place := r.cells["place"]
		at, err := time.Parse(time.RFC3339, r.cells["measured_at"])
		if err != nil {
			t.Fatalf("temperatures.csv:%d: %v", r.line, err)
		}
		texts[place+r.cells["measured_at"]] = true
		if before, ok := previous[place]; ok {
			switch step := at.Sub(before); {
			case step < time.Hour || step%time.Hour != 0:
				t.Errorf("temperatures.csv:%d: %v after the reading before", r.line, step)
			case step > time.Hour && step < 7*24*time.Hour:
				gaps[place]++
			}
		}
		previous[place] = at
		if c, err := strconv.ParseFloat(r.cells["air_c"], 64); err != nil || c < 5 || c > 40 {
			t.Errorf("temperatures.csv:%d: %q °C", r.line, r.cells["air_c"])
		}
	}
	for _, p := range places {
		if gaps[p.name] != 3 {
			t.Errorf("%s: %d gaps, want 3", p.name, gaps[p.name])
		}
		for _, hour := range []string{"2025-10-26T01:00:00+01:00", "2025-10-26T01:00:00Z", "2026-10-25T01:00:00+01:00", "2026-10-25T01:00:00Z"} {
			if !texts[p.name+hour] {
				t.Errorf("%s: no reading at %s; the hour comes twice when the clocks go back", p.name, hour)
			}
		}
	}
}
