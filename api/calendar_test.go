package api

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/emersion/go-ical"

	"vinetally/analytics/crop"
)

// contentLine is RFC 5545, section 3.1, of an unfolded line: name *(";" param) ":" value, without control characters.
var contentLine = regexp.MustCompile(`^[A-Za-z0-9-]+(;[A-Za-z0-9-]+=("[^"\x00-\x08\x0a-\x1f\x7f]*"|[^";:,\x00-\x08\x0a-\x1f\x7f]*)(,("[^"\x00-\x08\x0a-\x1f\x7f]*"|[^";:,\x00-\x08\x0a-\x1f\x7f]*))*)*:[^\x00-\x08\x0a-\x1f\x7f]*$`)

// readCalendar holds a stream against the grammar of RFC 5545 and has another library read it.
func readCalendar(t *testing.T, r reply) *ical.Calendar {
	t.Helper()
	if got := r.header.Get("Content-Type"); got != "text/calendar; charset=utf-8" {
		t.Errorf("Content-Type %q", got)
	}
	lines := strings.Split(r.body, "\r\n")
	if lines[len(lines)-1] != "" || strings.ContainsAny(strings.Join(lines, ""), "\r\n") {
		t.Errorf("lines don't end with CR LF: %q", r.body)
	}
	for _, line := range lines {
		if len(line) > 75 { // section 3.1: without the line break
			t.Errorf("%d octets in the line %q", len(line), line)
		}
		if !utf8.ValidString(line) {
			t.Errorf("a character is broken over lines: %q", line)
		}
	}
	for line := range strings.SplitSeq(strings.TrimSuffix(strings.ReplaceAll(r.body, "\r\n ", ""), "\r\n"), "\r\n") {
		if !contentLine.MatchString(line) {
			t.Errorf("not a content line: %q", line)
		}
		name, _, _ := strings.Cut(line, ":")
		if parts := strings.Split(name, ";"); len(parts) > 2 && parts[1] == parts[2] { // section 3.2
			t.Errorf("a parameter stands twice: %q", line)
		}
	}
	cal, err := ical.NewDecoder(strings.NewReader(r.body)).Decode()
	if err != nil {
		t.Fatalf("%v: %s", err, r.body)
	}
	for name, want := range map[string]string{"VERSION": "2.0", "PRODID": "-//vinetally//picking days//EN"} {
		if p := cal.Props.Get(name); p == nil || p.Value != want || len(cal.Props.Values(name)) != 1 {
			t.Errorf("%s is %v, want %q once", name, p, want)
		}
	}
	if len(cal.Children) == 0 {
		t.Error("a stream must hold a component (section 3.6)")
	}
	for _, c := range cal.Children {
		for _, name := range []string{"UID", "DTSTAMP", "DTSTART", "SUMMARY", "DESCRIPTION"} {
			if len(c.Props.Values(name)) != 1 {
				t.Errorf("%s has %d of %s, want 1", c.Name, len(c.Props.Values(name)), name)
			}
		}
	}
	return cal
}

func text1(t *testing.T, c *ical.Component, name string) string {
	t.Helper()
	s, err := c.Props.Text(name)
	if err != nil {
		t.Errorf("%s: %v", name, err)
	}
	return s
}

// TestCalendar: the days of the plan are the events of the calendar, with the same fruit and plants, under names that stay.
func TestCalendar(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	odd := `A;1, "großer" \n Topf ☀️ am Fenster, der mit dem sehr langen Namen, damit die Zeile gefaltet wird`
	c.want(200, "PUT", "/v1/plants/"+lab.plant, lab.fill(`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "`+strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(odd)+`", "sown_on": "2025-10-01"}`))
	c.want(200, "PUT", "/v1/seasons/"+lab.season, `{"name": "Winter; 2025, \\n"}`)
	colouring(c, lab)
	plan := decoded[forecastAnswer](t, c.want(200, "GET", "/v1/seasons/"+lab.season+"/forecast?weekdays=tue,fri", "").body).PickPlan
	first := c.want(200, "GET", "/calendar.ics?weekdays=tue,fri", "")
	cal := readCalendar(t, first)
	if name, err := cal.Props.Text("NAME"); err != nil || name != `Picking: Winter; 2025, \n` {
		t.Errorf("the calendar's name is %q (%v)", name, err)
	}
	events := cal.Events()
	if len(events) != len(plan) || len(plan) < 2 {
		t.Fatalf("%d events, %d days in the plan", len(events), len(plan))
	}
	uids := map[string]string{} // by day
	for i, e := range events {
		uids[e.Props.Get("DTSTART").Value] = text1(t, e.Component, "UID")
		start, err := e.DateTimeStart(time.UTC)
		if p := e.Props.Get("DTSTART"); err != nil || p.Params.Get("VALUE") != "DATE" || crop.DateOf(start) != plan[i].On {
			t.Errorf("event %d starts at %v (%v, %v), the plan has %s", i, start, p, err, plan[i].On)
		}
		if end, err := e.DateTimeEnd(time.UTC); err != nil || !end.Equal(start.AddDate(0, 0, 1)) {
			t.Errorf("event %d ends at %v (%v), want the day after", i, end, err)
		}
		if summary := text1(t, e.Component, "SUMMARY"); !strings.HasSuffix(summary, ": "+odd) {
			t.Errorf("summary %q, want the label %q as it is", summary, odd)
		}
		for _, want := range []string{"Expected: ", "90 % interval", "doesn't mean safe to eat", "As of 1 Mar 2026, 12:00", " g (90 % interval "} {
			if got := text1(t, e.Component, "DESCRIPTION"); !strings.Contains(got, want) {
				t.Errorf("description %q, want %q in it", got, want)
			}
		}
		if e.Props.Get("TRANSP").Value != "TRANSPARENT" {
			t.Errorf("event %d takes the day", i)
		}
	}
	if all := slices.Sorted(maps.Values(uids)); len(slices.Compact(all)) != len(events) {
		t.Errorf("events share a day or a UID: %q", uids)
	}
	c.add(crop.Losses, lab.fill(`{"plant_id": "PLANT", "lost_at": "2026-02-27T10:00:00Z", "stage": "green", "fruits": 1, "cause": "thinned"}`))
	again := c.want(200, "GET", "/calendar.ics?weekdays=tue,fri&season=Winter%3B+2025,+%5Cn", "")
	same := 0
	for _, e := range readCalendar(t, again).Events() {
		if was, ok := uids[e.Props.Get("DTSTART").Value]; ok {
			same++
			if id := text1(t, e.Component, "UID"); id != was {
				t.Errorf("after a loss the UID is %q, it was %q", id, was)
			}
		}
	}
	if same == 0 {
		t.Error("no day is in both calendars, so nothing was compared")
	}
	if again.body == first.body {
		t.Error("a loss changed nothing")
	}
	if byID := c.want(200, "GET", "/calendar.ics?weekdays=tue,fri&season="+lab.season, ""); byID.body != again.body {
		t.Error("by its id the season has another calendar than by its name")
	}
}

// TestCalendarWithoutDays: a treated plant isn't in it, and why there is nothing is said in an entry that takes no time.
func TestCalendarWithoutDays(t *testing.T) {
	c := testClient(t)
	remark := func(want string) {
		t.Helper()
		cal := readCalendar(t, c.want(200, "GET", "/calendar.ics", ""))
		if len(cal.Children) != 1 || cal.Children[0].Name != "VJOURNAL" || !strings.Contains(text1(t, cal.Children[0], "DESCRIPTION"), want) {
			t.Errorf("got %+v, want a remark with %q", cal.Children, want)
		}
	}
	remark("No season is under way")
	lab := newTrial(c)
	remark("nothing to forecast")
	colouring(c, lab)
	c.add(crop.Diary, lab.fill(`{"season_id": "SEASON", "noted_at": "2026-02-27T10:00:00Z", "kind": "treated", "pick_not_before": "2026-05-01"}`))
	remark("No plant may be picked in the next 14 days")
	c.want(200, "PUT", "/v1/seasons/"+lab.season, `{"name": "Winter 2025", "last_day": "2026-02-28"}`)
	remark("No season is under way")
	for _, query := range []string{"weekdays=x", "days=3", "as_of=2026-02-03T08:00:00Z"} {
		c.want(400, "GET", "/calendar.ics?"+query, "")
	}
	c.want(404, "GET", "/calendar.ics?season=Sommer", "")
}
