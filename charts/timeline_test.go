package charts

import (
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

func lifeDay(n int) time.Time { return time.Date(2026, 7, n, 12, 0, 0, 0, time.UTC) }

func lives() Timeline {
	return Timeline{Kinds: []string{"first bud", "first flower"}, Rows: []TimelineRow{
		{Name: "A1 <b>", From: lifeDay(1), To: lifeDay(21), Events: []TimelineEvent{{Kind: 0, At: lifeDay(6)}, {Kind: 1, At: lifeDay(16), After: lifeDay(11)}}},
		{Name: "A2", From: lifeDay(1), To: lifeDay(11), Events: []TimelineEvent{{Kind: 0, At: lifeDay(11)}}},
	}}
}

// TestStillTimeline: lines are as long as lives, signs stand on their days and rows, and what isn't known between two looks is a stretch.
func TestStillTimeline(t *testing.T) {
	picture := stillOf(t, lives())
	if !strings.Contains(picture, "A1 &lt;b&gt;") {
		t.Error("a name isn't there")
	}
	type stretch struct{ x, y, to float64 }
	var all []stretch
	for _, m := range regexp.MustCompile(`class="line" d="(M[^"]*)"`).FindAllStringSubmatch(picture, -1) {
		n := numbersOf(t, m[1], `[MH ]([0-9.]+)`)
		all = append(all, stretch{n[0], n[1], n[2]})
	}
	if len(all) != 3 {
		t.Fatalf("%d stretches, want two lives and one between two looks", len(all))
	}
	day := (all[0].to - all[0].x) / 20
	if got := all[1].to - all[1].x; math.Abs(got-10*day) > 0.2 || all[1].y <= all[0].y {
		t.Errorf("the second life is %.1f long at %.1f, want %.1f below %.1f", got, all[1].y, 10*day, all[0].y)
	}
	if b := all[2]; math.Abs(b.x-all[0].x-10*day) > 0.2 || math.Abs(b.to-all[0].x-15*day) > 0.2 || b.y != all[0].y {
		t.Errorf("between two looks: %+v, want days 11 to 16 of %+v", b, all[0])
	}
	if n := strings.Count(picture, "<marker"); n != 2 {
		t.Errorf("%d kinds of signs, want 2", n)
	}
}

// TestTimelineRefuses: what can't be drawn is named.
func TestTimelineRefuses(t *testing.T) {
	for want, change := range map[string]func(*Timeline){
		"no rows":                  func(f *Timeline) { f.Rows = nil },
		"9 kinds of events":        func(f *Timeline) { f.Kinds = make([]string, 9) },
		"is of kind 5":             func(f *Timeline) { f.Rows[0].Events[0].Kind = 5 },
		"has no time":              func(f *Timeline) { f.Rows[1].To = time.Time{} },
		"ends before it begins":    func(f *Timeline) { f.Rows[1].To = lifeDay(1).Add(-time.Hour) },
		"lies outside its row":     func(f *Timeline) { f.Rows[1].Events[0].At = lifeDay(12) },
		"was seen not to be so af": func(f *Timeline) { f.Rows[0].Events[1].After = lifeDay(17) },
	} {
		f := lives()
		change(&f)
		if _, err := f.draw(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want an error with %q", err, want)
		}
	}
	f := lives()
	f.Limit = 1
	if d, err := f.draw(); err != nil || len(d.notes) != 1 || !strings.Contains(d.notes[0], "first 1 of 2 rows") {
		t.Errorf("got %v and notes %q, want a note on the row left out", err, d.notes)
	}
}

// TestMilestonesAgree: every sign of a demo season's timeline is the day in its cell of the table.
func TestMilestonesAgree(t *testing.T) {
	heads := map[string]string{"last count": "Last count", "moved": "Moved"}
	for _, l := range lifeline {
		heads[string(l.name)] = l.head
	}
	for name, trial := range demoseasons.Load(t) {
		s := section(t, SeasonPage(report.Of(trial, report.Options{}), ReportLinks{}), "Milestones")
		column := map[string]int{}
		for i, c := range s.Table.Columns {
			column[c.Name] = i
		}
		signs := 0
		for r, row := range s.Figure.(Timeline).Rows {
			if s.Table.Rows[r][0] != row.Name {
				t.Fatalf("%s: row %d is %s in the chart and %s in the table", name, r, row.Name, s.Table.Rows[r][0])
			}
			for _, e := range row.Events {
				signs++
				cell := s.Table.Rows[r][column[heads[lifeEvents[e.Kind]]]]
				if want := e.At.Format("2 Jan"); cell != want && !strings.HasPrefix(cell, want+" ") {
					t.Errorf("%s, %s: %s is drawn on %s, the table has %q", name, row.Name, lifeEvents[e.Kind], want, cell)
				}
				if !e.After.IsZero() && !strings.HasSuffix(cell, "("+e.After.Format("2 Jan")+")") {
					t.Errorf("%s, %s: %s is drawn from %s on, the table has %q", name, row.Name, lifeEvents[e.Kind], e.After.Format("2 Jan"), cell)
				}
			}
		}
		if signs < 5*len(trial.Plants) {
			t.Errorf("%s: %d signs on the lines of %d plants", name, signs, len(trial.Plants))
		}
	}
}
