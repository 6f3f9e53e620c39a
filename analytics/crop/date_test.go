package crop_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

// failer is a test, or one draw of a property.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

func day(t failer, s string) crop.Date {
	t.Helper()
	d, err := crop.ParseDate(s)
	if err != nil {
		t.Fatalf("%s: %v", s, err)
	}
	return d
}

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// ISO 8601 calendar dates; leap years by the Gregorian rule (ISO 8601-1:2019, 4.2.1: divisible by four, centuries by 400).
func TestParseDate(t *testing.T) {
	for _, c := range []struct {
		name, text string
		ok         bool
	}{
		{"a plain day", "2026-02-03", true},
		{"leap day", "2024-02-29", true},
		{"no leap day in 2025", "2025-02-29", false},
		{"no leap day in the century 1900", "1900-02-29", false},
		{"leap day in 2000, divisible by 400", "2000-02-29", true},
		{"no 31st of April", "2026-04-31", false},
		{"no month 13", "2026-13-01", false},
		{"no day 0", "2026-01-00", false},
		{"one digit", "2026-2-03", false},
		{"the other way round", "03-02-2026", false},
		{"slashes", "2026/02/03", false},
		{"with a time", "2026-02-03T00:00:00Z", false},
		{"space around", " 2026-02-03", false},
		{"nothing", "", false},
		{"too long ago", "1899-12-31", false},
		{"too far ahead", "3000-01-01", false},
	} {
		d, err := crop.ParseDate(c.text)
		if (err == nil) != c.ok {
			t.Errorf("%s: ParseDate(%q) = %v, %v; want accepted %v", c.name, c.text, d, err, c.ok)
		}
		if err == nil && d.String() != c.text {
			t.Errorf("%s: ParseDate(%q) reads back as %s", c.name, c.text, d)
		}
	}
}

// Numbers of days from the Julian day numbers of astronomy: JDN 2451545 is 2000-01-01, 2440588 is 1970-01-01 (Explanatory
// Supplement to the Astronomical Almanac, quoted from memory).
func TestDaysSince(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"2000-01-01", "1970-01-01", 2451545 - 2440588},
		{"2024-03-01", "2024-02-28", 2},
		{"2025-03-01", "2025-02-28", 1},
		{"2026-02-03", "2026-02-03", 0},
		{"2026-01-01", "2026-12-31", -364},
		{"2999-12-31", "1900-01-01", 401766}, // 1100 years of 365 days and 267 leap days, less one
	} {
		a, b := day(t, c.a), day(t, c.b)
		if got := a.DaysSince(b); got != c.want {
			t.Errorf("%s since %s: got %d days, want %d", c.a, c.b, got, c.want)
		}
		if got := b.AddDays(c.want); got != a {
			t.Errorf("%s plus %d days: got %s, want %s", c.b, c.want, got, c.a)
		}
	}
}

// TestStart: where the clock change skips midnight, the day begins at 01:00. The days are those of the IANA database: the
// start of summer time in Brazil (2017-10-15, 00:00 to 01:00), Egypt (2023-04-28, 00:00 to 01:00) and Cuba (2024-03-10,
// 00:00 to 01:00); in Cuba midnight comes twice on 2024-11-03, and the first one counts.
func TestStart(t *testing.T) {
	for _, c := range []struct{ zone, day, want string }{
		{"America/Sao_Paulo", "2017-10-15", "2017-10-15T01:00:00-02:00"},
		{"America/Sao_Paulo", "2017-10-16", "2017-10-16T00:00:00-02:00"},
		{"America/Sao_Paulo", "2018-02-18", "2018-02-18T00:00:00-03:00"},
		{"Africa/Cairo", "2023-04-28", "2023-04-28T01:00:00+03:00"},
		{"Africa/Cairo", "2014-05-16", "2014-05-16T01:00:00+03:00"},
		{"America/Havana", "2024-03-10", "2024-03-10T01:00:00-04:00"},
		{"America/Havana", "2024-11-03", "2024-11-03T00:00:00-04:00"},
		{"Europe/Lisbon", "2026-03-29", "2026-03-29T00:00:00Z"},
		{"Africa/Monrovia", "1972-01-07", "1972-01-07T00:44:30Z"},
		{"Atlantic/Azores", "2026-03-29", "2026-03-29T01:00:00Z"},
		{"Pacific/Apia", "2011-12-29", "2011-12-29T00:00:00-10:00"},
		{"Pacific/Apia", "2011-12-30", "2011-12-31T00:00:00+14:00"}, // the island had no 30 December: the day starts when it ends
		{"Pacific/Apia", "2011-12-31", "2011-12-31T00:00:00+14:00"},
		{"Asia/Kathmandu", "2026-02-03", "2026-02-03T00:00:00+05:45"},
	} {
		if got := day(t, c.day).Start(zone(t, c.zone)).Format(time.RFC3339); got != c.want {
			t.Errorf("%s in %s starts at %s, want %s", c.day, c.zone, got, c.want)
		}
	}
}

// TestStartIsFirstInstant: no day of these zones since 1900 begins a millisecond, or an hour, earlier than Start says. Monrovia
// skipped 44 minutes and 30 seconds of 1972-01-07, Kathmandu a quarter of an hour of 1986-01-01, Amsterdam's midnights of
// 1937 fall on no whole minute of UTC.
func TestStartIsFirstInstant(t *testing.T) {
	for _, name := range []string{"America/Sao_Paulo", "Africa/Cairo", "America/Havana", "Asia/Beirut", "America/Asuncion", "Australia/Lord_Howe",
		"Africa/Monrovia", "Asia/Kathmandu", "Europe/Amsterdam", "Atlantic/Azores"} {
		loc := zone(t, name)
		for d := day(t, "1900-01-02"); d.Year < 2037; d = d.AddDays(1) {
			start := d.Start(loc)
			if crop.DateOf(start) != d || crop.DateOf(start.Add(-time.Millisecond)) == d || crop.DateOf(start.Add(-time.Hour)) == d {
				t.Fatalf("%s in %s does not start at %s", d, name, start)
			}
		}
	}
}

func TestDateOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := crop.Date{Year: 2000, Month: 1, Day: 1}.AddDays(rapid.IntRange(-30000, 300000).Draw(t, "a"))
		n := rapid.IntRange(-1000, 1000).Draw(t, "n")
		b := a.AddDays(n)
		if b.DaysSince(a) != n || b.Before(a) != (n < 0) || b.After(a) != (n > 0) || (a.Compare(b) == 0) != (n == 0) {
			t.Errorf("%s and %s are %d days apart: %d, before %v, after %v", a, b, n, b.DaysSince(a), b.Before(a), b.After(a))
		}
	})
}

// TestDaysSinceByJulianDay: the days between two dates are those between their Julian day numbers by the formula of Fliegel
// and Van Flandern (1968), Communications of the ACM 11, 657 (quoted from memory).
func TestDaysSinceByJulianDay(t *testing.T) {
	julian := func(d crop.Date) int {
		i, j, k := d.Year, int(d.Month), d.Day
		return k - 32075 + 1461*(i+4800+(j-14)/12)/4 + 367*(j-2-(j-14)/12*12)/12 - 3*((i+4900+(j-14)/12)/100)/4
	}
	if got := julian(day(t, "2000-01-01")); got != 2451545 {
		t.Fatalf("the formula gives %d for 2000-01-01, want 2451545", got)
	}
	draw := func(t *rapid.T, label string) crop.Date {
		y, m := rapid.IntRange(1900, 2999).Draw(t, label+" year"), rapid.IntRange(1, 12).Draw(t, label+" month")
		return crop.Date{Year: y, Month: time.Month(m), Day: rapid.IntRange(1, 28).Draw(t, label+" day")}
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := draw(t, "a"), draw(t, "b")
		if got, want := a.DaysSince(b), julian(a)-julian(b); got != want {
			t.Errorf("%s since %s: got %d, want %d", a, b, got, want)
		}
	})
}

// TestMonday: every day of an ISO week has the week's Monday, by the week numbers of the standard library, which follow ISO 8601.
func TestMonday(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := crop.Date{Year: 1900, Month: 1, Day: 1}.AddDays(rapid.IntRange(0, 400000).Draw(t, "day"))
		monday := d.Monday()
		at, first := d.Noon(time.UTC), monday.Noon(time.UTC)
		year, week := at.ISOWeek()
		if y, w := first.ISOWeek(); y != year || w != week || first.Weekday() != time.Monday || monday.After(d) {
			t.Errorf("%s, of week %d of %d: got %s, a %s of week %d of %d", d, week, year, monday, first.Weekday(), w, y)
		}
	})
}

// TestDaysAcrossClockChanges: a day of 23 or 25 hours is one day. The clocks of Lisbon change on 2026-03-29 and 2026-10-25,
// the last Sundays of the month (Directive 2000/84/EC).
func TestDaysAcrossClockChanges(t *testing.T) {
	lisbon := zone(t, "Europe/Lisbon")
	for _, c := range []struct {
		day   string
		hours float64
	}{{"2026-03-28", 24}, {"2026-03-29", 23}, {"2026-10-25", 25}} {
		start, end := day(t, c.day).Start(lisbon), day(t, c.day).AddDays(1).Start(lisbon)
		if got := end.Sub(start).Hours(); got != c.hours {
			t.Errorf("%s has %g hours in Lisbon, want %g", c.day, got, c.hours)
		}
		if got := crop.DateOf(end).DaysSince(crop.DateOf(start)); got != 1 {
			t.Errorf("%s is %d days long, want 1", c.day, got)
		}
		if noon := day(t, c.day).Noon(lisbon); noon.Hour() != 12 || crop.DateOf(noon) != day(t, c.day) {
			t.Errorf("noon of %s is %s", c.day, noon)
		}
	}
}
