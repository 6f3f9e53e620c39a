package csvfile

import (
	"fmt"
	"regexp"
	"time"

	"vinetally/analytics/crop"
)

// clockTime is a date, with or without a time of day, with or without an offset, as it was written.
type clockTime struct {
	day       crop.Date
	timed     bool
	sinceZero time.Duration // from midnight, by the hands of the clock
	zoned     bool
	offset    time.Duration
}

// parseClockTime reads YYYY-MM-DD, or that with T or a space, HH:MM, optional seconds with optional fractions, and
// optionally Z or an offset ±HH:MM. The problem is empty if it could.
func parseClockTime(s string) (c clockTime, problem string) {
	const want = "write a time as 2026-02-03T08:15+01:00 (without the offset it is read by the place's clock), or a day alone as 2026-02-03"
	var err error
	if len(s) < 10 {
		return c, dateProblem(s, want)
	}
	if c.day, err = crop.ParseDate(s[:10]); err != nil {
		return c, dateProblem(s, want)
	}
	if s = s[10:]; s == "" {
		return c, ""
	}
	written := s
	bad := func() (clockTime, string) {
		return clockTime{}, fmt.Sprintf("%q is not a time of day; %s", written, want)
	}
	if s[0] != 'T' && s[0] != 't' && s[0] != ' ' {
		return bad()
	}
	s = s[1:]
	hour, rest, ok := twoDigits(s, 23, "")
	if !ok {
		return bad()
	}
	minute, rest, ok := twoDigits(rest, 59, ":")
	if !ok {
		return bad()
	}
	c.timed = true
	c.sinceZero = time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute
	if second, after, ok := twoDigits(rest, 59, ":"); ok {
		c.sinceZero += time.Duration(second) * time.Second
		var part time.Duration
		part, rest = fraction(after)
		c.sinceZero += part
	}
	if rest == "" {
		return c, ""
	}
	c.zoned = true
	if rest == "Z" || rest == "z" {
		return c, ""
	}
	sign := time.Duration(1)
	if rest[0] == '-' {
		sign = -1
	} else if rest[0] != '+' {
		return bad()
	}
	hour, rest, ok = twoDigits(rest[1:], 23, "")
	if !ok {
		return bad()
	}
	minute, rest, ok = twoDigits(rest, 59, ":")
	if !ok || rest != "" {
		return bad()
	}
	c.offset = sign * (time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute)
	return c, ""
}

// twoDigits reads a prefix and two digits of at most limit.
func twoDigits(s string, limit int, prefix string) (n int, rest string, ok bool) {
	if len(s) < len(prefix)+2 || s[:len(prefix)] != prefix {
		return 0, s, false
	}
	s = s[len(prefix):]
	if s[0] < '0' || s[0] > '9' || s[1] < '0' || s[1] > '9' {
		return 0, s, false
	}
	n = int(s[0]-'0')*10 + int(s[1]-'0')
	return n, s[2:], n <= limit
}

// fraction reads a fraction of a second if there is one. Digits beyond nanoseconds are passed over.
func fraction(s string) (time.Duration, string) {
	if len(s) < 2 || s[0] != '.' || s[1] < '0' || s[1] > '9' {
		return 0, s
	}
	var part time.Duration
	unit := time.Second
	i := 1
	for ; i < len(s) && s[i] >= '0' && s[i] <= '9'; i++ {
		unit /= 10
		part += time.Duration(s[i]-'0') * unit
	}
	return part, s[i:]
}

// wall is the moment that a clock set to UTC would have shown so.
func (c clockTime) wall() time.Time {
	return time.Date(c.day.Year, c.day.Month, c.day.Day, 0, 0, 0, 0, time.UTC).Add(c.sinceZero)
}

// at returns the instant. Without an offset it is by the clock of loc: a clock change may have skipped it, which isn't
// ok, or may show it twice, and then it is the first time.
func (c clockTime) at(loc *time.Location) (t time.Time, ok bool) {
	wall := c.wall()
	if c.zoned {
		return wall.Add(-c.offset), true
	}
	// No zone changes its clock twice within two days, so the offsets a day before and after are all that can apply.
	for _, near := range []time.Duration{-24 * time.Hour, 24 * time.Hour} {
		_, offset := wall.Add(near).In(loc).Zone()
		candidate := wall.Add(-time.Duration(offset) * time.Second)
		if _, really := candidate.In(loc).Zone(); really == offset && (!ok || candidate.Before(t)) {
			t, ok = candidate, true
		}
	}
	return t, ok
}

var (
	dayFirst = regexp.MustCompile(`^\d{1,2}[./-]\d{1,2}[./-](\d{4}|\d{2})(\D|$)`)
	slashed  = regexp.MustCompile(`^\d{4}[./]\d{1,2}[./]\d{1,2}(\D|$)`)
)

// dateProblem says why s is no date.
func dateProblem(s, want string) string {
	switch {
	case dayFirst.MatchString(s):
		return fmt.Sprintf("%q could mean two different days; write the year first, YYYY-MM-DD", s)
	case slashed.MatchString(s):
		return fmt.Sprintf("%q is not how dates are written here; use hyphens, YYYY-MM-DD", s)
	}
	return fmt.Sprintf("%q is not a day that exists; %s", s, want)
}
