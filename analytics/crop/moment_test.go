package crop_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

func moment(t testing.TB, s string) crop.Moment {
	t.Helper()
	m, err := crop.ParseMoment(s)
	if err != nil {
		t.Fatalf("%s: %v", s, err)
	}
	return m
}

// The accepted times are examples of RFC 3339 section 5.8, and what the ABNF of section 5.6 rules in or out.
func TestParseMoment(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"section 5.8, first example, to the millisecond", "1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.52Z"},
		{"section 5.8, second example", "1996-12-19T16:39:57-08:00", "1996-12-19T16:39:57-08:00"},
		{"finer than a millisecond is cut", "2026-02-03T08:15:00.123987Z", "2026-02-03T08:15:00.123Z"},
		{"a day alone", "2026-02-03", "2026-02-03"},
		{"no offset", "2026-02-03T08:15:00", ""},
		{"a space for the T", "2026-02-03 08:15:00Z", ""},
		{"no seconds", "2026-02-03T08:15Z", ""},
		{"a one-digit hour", "2026-02-03T8:15:00Z", ""},
		{"a decimal comma", "2026-02-03T08:15:00,5Z", ""},
		{"an offset beyond a day", "2026-02-03T08:15:00+24:30", ""},
		{"hour 24", "2026-02-03T24:00:00Z", ""},
		{"a day that isn't", "2025-02-29", ""},
		{"a time on a day that isn't", "2025-02-29T08:00:00Z", ""},
		{"too long ago", "1899-12-31T23:59:59Z", ""},
		{"nothing", "", ""},
	} {
		m, err := crop.ParseMoment(c.text)
		if got := m.String(); got != c.want || (err == nil) != (c.want != "") {
			t.Errorf("%s: ParseMoment(%q) = %q, %v; want %q", c.name, c.text, got, err, c.want)
		}
	}
}

func TestMoment(t *testing.T) {
	auckland, saoPaulo := zone(t, "Pacific/Auckland"), zone(t, "America/Sao_Paulo")
	for _, c := range []struct{ name, got, want string }{
		{"an instant keeps its instant in another zone", moment(t, "2026-02-03T20:00:00Z").In(auckland).String(), "2026-02-04T09:00:00+13:00"},
		{"and shows that zone's day", moment(t, "2026-02-03T20:00:00Z").In(auckland).LocalDate().String(), "2026-02-04"},
		{"a day alone stays the day", moment(t, "2026-02-03").In(auckland).LocalDate().String(), "2026-02-03"},
		{"and stands at noon there", moment(t, "2026-02-03").In(auckland).At.UTC().Format(time.RFC3339), "2026-02-02T23:00:00Z"},
		{"the latest of an instant is itself", moment(t, "2026-02-03T20:00:00Z").Latest().Format(time.RFC3339), "2026-02-03T20:00:00Z"},
		{
			"the latest of a day is its last millisecond",
			moment(t, "2026-02-03").In(auckland).Latest().Format(time.RFC3339Nano), "2026-02-03T23:59:59.999+13:00",
		},
		{
			// The clock stands at 23:59:59 of 14 October 2017 and goes on at 01:00 of the 15th.
			"also where the next midnight is skipped",
			moment(t, "2017-10-14").In(saoPaulo).Latest().Format(time.RFC3339Nano), "2017-10-14T23:59:59.999-03:00",
		},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, c.got, c.want)
		}
	}
}

func TestWithin(t *testing.T) {
	auckland := zone(t, "Pacific/Auckland")
	for _, c := range []struct {
		name string
		m    crop.Moment
		asOf string
		want bool
	}{
		{"an instant at as-of", moment(t, "2026-02-03T08:00:00Z"), "2026-02-03T08:00:00Z", true},
		{"an instant after it", moment(t, "2026-02-03T08:00:00.001Z"), "2026-02-03T08:00:00Z", false},
		{"a day alone in its morning", moment(t, "2026-02-03"), "2026-02-03T00:00:00Z", true},
		{"a day alone the evening before", moment(t, "2026-02-03"), "2026-02-02T23:59:59Z", false},
		{"a day alone that has begun in Auckland only", moment(t, "2026-02-03").In(auckland), "2026-02-02T12:00:00Z", true},
		{"the same, not begun there either", moment(t, "2026-02-03").In(auckland), "2026-02-02T10:59:59Z", false},
	} {
		if got := c.m.Within(moment(t, c.asOf).At); got != c.want {
			t.Errorf("%s: within %s is %v, want %v", c.name, c.asOf, got, c.want)
		}
	}
}

func TestSame(t *testing.T) {
	a, b := moment(t, "2026-02-03T08:00:00Z"), moment(t, "2026-02-03T09:00:00+01:00")
	noon, d := moment(t, "2026-02-03T12:00:00Z"), moment(t, "2026-02-03")
	if !a.Same(b) || a.Same(noon) || noon.Same(d) || !d.Same(d.In(zone(t, "Pacific/Auckland"))) {
		t.Errorf("same instant %v, other instant %v, noon and the day %v, the day elsewhere %v; want true, false, false, true",
			a.Same(b), a.Same(noon), noon.Same(d), d.Same(d.In(zone(t, "Pacific/Auckland"))))
	}
}

// TestMomentReadsBack: what is written is read back the same, in any zone.
func TestMomentReadsBack(t *testing.T) {
	zones := []*time.Location{time.UTC, zone(t, "Asia/Kathmandu"), zone(t, "America/St_Johns"), zone(t, "Pacific/Apia")}
	rapid.Check(t, func(t *rapid.T) {
		at := time.UnixMilli(rapid.Int64Range(-2e12, 30e12).Draw(t, "ms")).In(rapid.SampledFrom(zones).Draw(t, "zone"))
		m := crop.InstantMoment(at)
		if rapid.Bool().Draw(t, "day alone") {
			m = crop.DayMoment(crop.DateOf(at), at.Location())
		}
		back, err := crop.ParseMoment(m.String())
		if err != nil || !back.Same(m) {
			t.Errorf("%s read back as %s, %v", m, back, err)
		}
	})
}
