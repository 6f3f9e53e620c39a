package crop_test

import (
	"encoding/json"
	"strings"
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

// The first five are the examples of RFC 3339 section 5.8, of which the two leap seconds are refused: Go's time has none,
// and a fruit is not counted in one. The others are what the ABNF of section 5.6 rules in or out; its note allows t and z,
// which are refused too.
func TestParseMoment(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"section 5.8, first example, to the millisecond", "1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.52Z"},
		{"section 5.8, second example", "1996-12-19T16:39:57-08:00", "1996-12-19T16:39:57-08:00"},
		{"section 5.8, third example, a leap second", "1990-12-31T23:59:60Z", ""},
		{"section 5.8, fourth example, the same elsewhere", "1990-12-31T15:59:60-08:00", ""},
		{"section 5.8, fifth example, an offset of 20 minutes", "1937-01-01T12:00:27.87+00:20", "1937-01-01T12:00:27.87+00:20"},
		{"section 4.3, the local offset unknown", "2026-02-03T08:15:00-00:00", "2026-02-03T08:15:00Z"},
		{"the widest offset", "2026-02-03T08:15:00+23:59", "2026-02-03T08:15:00+23:59"},
		{"an offset of an hour too many", "2026-02-03T08:15:00+24:00", ""},
		{"an offset of a minute too many", "2026-02-03T08:15:00+23:60", ""},
		{"an offset without a colon", "2026-02-03T08:15:00+0100", ""},
		{"small letters", "2026-02-03t08:15:00z", ""},
		{"a name for the offset", "2026-02-03T08:15:00 UTC", ""},
		{"the first year", "1900-01-01T00:00:00Z", "1900-01-01T00:00:00Z"},
		{"the last year", "2999-12-31T23:59:59.999Z", "2999-12-31T23:59:59.999Z"},
		{"too far ahead", "3000-01-01T00:00:00Z", ""},
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

// TestTextForms: dates, moments and ids are read from JSON and written to it; null leaves them alone, and text that is none
// of them is refused with words that say what is wanted.
func TestTextForms(t *testing.T) {
	type forms struct {
		Day  crop.Date
		When crop.Moment
		ID   crop.ID
	}
	const text = `{"Day":"2024-02-29","When":"2026-02-03T09:15:00.5+01:00","ID":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f"}`
	var got forms
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	if back, err := json.Marshal(got); err != nil || string(back) != text {
		t.Errorf("written %s, %v; want %s", back, err, text)
	}
	before := got
	if err := json.Unmarshal([]byte(`{"Day":null,"When":null,"ID":null}`), &got); err != nil || got != before {
		t.Errorf("nulls make it %+v, %v; want it unchanged", got, err)
	}
	for _, c := range []struct{ text, words string }{
		{`{"Day":"2025-02-29"}`, "not a date: want YYYY-MM-DD, a day that exists"},
		{`{"Day":""}`, "not a date"},
		{`{"When":"yesterday"}`, "not a time: want RFC 3339 with an offset, such as 2026-02-03T08:15:00+01:00, or a day alone, YYYY-MM-DD"},
		{`{"When":"2025-02-29"}`, "not a time"},
		{`{"ID":"7"}`, "not a UUID: want 32 hexadecimal digits as 8-4-4-4-12"},
		{`{"Day":20260203}`, "Day"},
	} {
		if err := json.Unmarshal([]byte(c.text), &got); err == nil || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: got %v, want it refused with %q", c.text, err, c.words)
		}
	}
	if none := (crop.Date{}).String() + (crop.Moment{}).String(); none != "" {
		t.Errorf("no date and no moment are written %q, want nothing", none)
	}
}

// TestLatestIsLast: the latest instant of a day alone is still that day in its zone, a millisecond later is not, and the
// moment lies within it but not within the last millisecond of the day before.
func TestLatestIsLast(t *testing.T) {
	zones := []*time.Location{zone(t, "America/Sao_Paulo"), zone(t, "Africa/Cairo"), zone(t, "Asia/Kathmandu"), zone(t, "Australia/Lord_Howe"), time.UTC}
	rapid.Check(t, func(t *rapid.T) {
		loc := rapid.SampledFrom(zones).Draw(t, "zone")
		d := crop.Date{Year: 1980, Month: 1, Day: 1}.AddDays(rapid.IntRange(0, 20000).Draw(t, "day"))
		m := crop.DayMoment(d, loc)
		latest := m.Latest()
		if crop.DateOf(latest) != d || crop.DateOf(latest.Add(time.Millisecond)) == d || latest.Before(m.At) {
			t.Errorf("the latest of %s in %s is %s", d, loc, latest)
		}
		if !m.Within(latest) || !m.Within(d.Start(loc)) || m.Within(d.Start(loc).Add(-time.Millisecond)) {
			t.Errorf("%s in %s: within its last instant %v, its first %v, and the one before %v; want true, true, false",
				d, loc, m.Within(latest), m.Within(d.Start(loc)), m.Within(d.Start(loc).Add(-time.Millisecond)))
		}
	})
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
