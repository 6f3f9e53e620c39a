package demotrial

import (
	"slices"
	"strconv"
	"strings"
	"testing"
)

// TestTruthConserves: every fruit that set was picked, lost, cleared, never
// noticed, or is left.
func TestTruthConserves(t *testing.T) {
	for _, p := range simulated.Truth {
		if got := p.Picked + p.Lost + p.Cleared + p.NeverSeen + p.Left; got != p.Set {
			t.Errorf("%s %s: %d fruit set, %d accounted for", p.Season, p.Plant, p.Set, got)
		}
		causes := 0
		for _, n := range p.LostByCause {
			causes += n
		}
		if causes != p.Lost {
			t.Errorf("%s %s: %d lost, %d by cause", p.Season, p.Plant, p.Lost, causes)
		}
	}
}

// TestRecordsAgreeWithTruth: what was written down is what happened, but for
// the planted mistakes.
func TestRecordsAgreeWithTruth(t *testing.T) {
	groups := allEvents(t)
	for _, p := range simulated.Truth {
		key := p.Season + "|" + p.Plant
		picked, lost := 0, 0
		for _, r := range groups[pickings][key] {
			picked += r.number(t, "fruits")
		}
		for _, r := range groups[losses][key] {
			lost += r.number(t, "fruits")
		}
		want := p.Picked
		for _, m := range simulated.Mistakes {
			if m.Season != p.Season || m.Plant != p.Plant {
				continue
			}
			switch m.Kind {
			case TooManyPicked:
				want += m.Fruits
			case UnwrittenPicking:
				want -= m.Fruits
			}
		}
		if picked != want {
			t.Errorf("%s: %d fruit picked in the records, want %d", key, picked, want)
		}
		if lost != p.Lost+p.Cleared {
			t.Errorf("%s: %d fruit lost in the records, want %d", key, lost, p.Lost+p.Cleared)
		}
		c := groups[counts][key]
		if p.Left == 0 || len(c) == 0 {
			continue
		}
		standing := 0
		for _, stage := range cultivarNamed(p.Cultivar).stages {
			standing += c[len(c)-1].number(t, stage)
		}
		for _, r := range groups[pickings][key] {
			if r.cells["picked_at"] >= c[len(c)-1].cells["counted_at"] {
				standing -= r.number(t, "fruits")
			}
		}
		if standing != p.Left {
			t.Errorf("%s: %d fruit stand at the end in the records, want %d", key, standing, p.Left)
		}
	}
}

// TestMistakesStandWhereTheyAreSaidTo reads each mistake's line.
func TestMistakesStandWhereTheyAreSaidTo(t *testing.T) {
	readme := string(simulated.Files["README.md"])
	kinds := map[string]int{}
	for _, m := range simulated.Mistakes {
		kinds[m.Kind]++
		where := m.File + ":" + strconv.Itoa(m.Line)
		if !strings.Contains(readme, "| "+where+" |") {
			t.Errorf("README.md does not list %s", where)
		}
		rows := read(t, m.File)
		i := slices.IndexFunc(rows, func(r record) bool { return r.line == m.Line })
		if i < 0 {
			t.Fatalf("%s: no record begins there", where)
		}
		r := rows[i]
		if at := r.cells[columnOfTime[m.File]]; r.cells["season"] != m.Season || r.cells["plant"] != m.Plant || at != m.At {
			t.Errorf("%s is %s, %s; want %s, %s, %s", where, name(r), at, m.Season, m.Plant, m.At)
		}
	}
	for _, k := range []string{UnwrittenPicking, TooManyPicked, SwappedDigits, DoubledDigit, Overlooked} {
		if kinds[k] == 0 {
			t.Errorf("no mistake of the kind %q", k)
		}
	}
}

// everReached follows a plant's records by the arithmetic of the trade: fruit
// standing at or beyond a stage, plus all that was picked or lost at or beyond
// it before. It calls report with each known value; a stage that was not
// counted, and all before it, are not known.
func everReached(t *testing.T, scale []string, list []event, report func(count event, stage int, value int)) {
	t.Helper()
	gone := make([]int, len(scale))
	for _, e := range list {
		if e.file != counts {
			for s := range slices.Index(scale, e.cells["stage"]) + 1 {
				gone[s] += e.number(t, "fruits")
			}
			continue
		}
		if e.cells["at_least"] != "" || e.cells["trusses_counted"] != "" {
			continue
		}
		standing := 0
		for s := len(scale) - 1; s >= 0 && e.cells[scale[s]] != ""; s-- {
			standing += e.number(t, scale[s])
			report(e, s, standing+gone[s])
		}
	}
}

// TestFallsOnlyAtMistakes: the fruit that ever reached a stage never gets
// fewer, except where a mistake was planted; and each such mistake shows.
func TestFallsOnlyAtMistakes(t *testing.T) {
	planted := map[string]string{}
	for _, m := range simulated.Mistakes {
		if m.FallAt != "" {
			planted[m.Season+"|"+m.Plant+"|"+m.FallAt] = m.Kind
		}
	}
	shown := map[string]bool{}
	groups := allEvents(t)
	for _, p := range read(t, plantsFile) {
		scale := scaleOf(p)
		before := make([]int, len(scale))
		everReached(t, scale, events(t, groups, p.plantKey()), func(count event, s, value int) {
			if value < before[s] {
				key := p.plantKey() + "|" + count.cells["counted_at"]
				shown[key] = true
				if planted[key] == "" {
					t.Errorf("counts.csv:%d: %s fell from %d to %d and no mistake was planted", count.line, scale[s], before[s], value)
				}
			}
			before[s] = value
		})
	}
	for key, kind := range planted {
		if !shown[key] {
			t.Errorf("%s: %s does not show", key, kind)
		}
	}
}

// TestTooManyPickedShows: the picking takes more ripe fruit than were counted
// with any colour just before.
func TestTooManyPickedShows(t *testing.T) {
	groups := allEvents(t)
	for _, m := range simulated.Mistakes {
		if m.Kind != TooManyPicked {
			continue
		}
		coloured := 0
		for _, e := range events(t, groups, m.Season+"|"+m.Plant) {
			if e.file == counts {
				coloured = e.number(t, "breaker") + e.number(t, "turning") + e.number(t, m.Stage)
			}
			if e.file == pickings && e.line == m.Line {
				if got := e.number(t, "fruits"); got <= coloured {
					t.Errorf("pickings.csv:%d: %d picked of %d coloured; want more", m.Line, got, coloured)
				}
			}
		}
	}
}
