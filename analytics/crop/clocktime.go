package crop

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"time"
)

// ClockTime is a date, with or without a time of day, with or without an offset, as it was written in a file: what a clock
// on the wall showed, wherever that was.
type ClockTime struct {
	Day       Date
	Timed     bool          // there is a time of day
	SinceZero time.Duration // from midnight, by the hands of the clock
	Zoned     bool          // there is an offset
	Offset    time.Duration // from UTC, positive in the east
}

// ParseClockTime reads YYYY-MM-DD, or that with T or a space, HH:MM or H:MM, optional seconds with optional fractions, and
// optionally Z or an offset ±HH:MM. It is laxer than RFC 3339, for files that spreadsheets and loggers write.
func ParseClockTime(s string) (ClockTime, error) {
	c, problem := parseClockTime(s)
	if problem != "" {
		return ClockTime{}, errors.New(problem)
	}
	return c, nil
}

func parseClockTime(s string) (c ClockTime, problem string) {
	const want = "write a time as 2026-02-03T08:15+01:00 (without the offset it is read by the place's clock), or a day alone as 2026-02-03"
	var err error
	if len(s) < 10 {
		return c, DateProblem(s, want)
	}
	if c.Day, err = ParseDate(s[:10]); err != nil {
		return c, DateProblem(s, want)
	}
	written := s
	bad := func() (ClockTime, string) {
		return ClockTime{}, fmt.Sprintf("the time of day in %q can't be read; %s", written, want)
	}
	if s = s[10:]; s == "" {
		return c, ""
	}
	if s[0] != 'T' && s[0] != 't' && s[0] != ' ' {
		return bad()
	}
	if s = s[1:]; len(s) > 1 && s[1] == ':' {
		s = "0" + s
	}
	hour, rest, ok := twoDigits(s, 23, "")
	if !ok {
		return bad()
	}
	minute, rest, ok := twoDigits(rest, 59, ":")
	if !ok {
		return bad()
	}
	c.Timed = true
	c.SinceZero = time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute
	if second, after, ok := twoDigits(rest, 59, ":"); ok {
		c.SinceZero += time.Duration(second) * time.Second
		var part time.Duration
		part, rest = fraction(after)
		c.SinceZero += part
	}
	if rest == "" {
		return c, ""
	}
	c.Zoned = true
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
	c.Offset = sign * (time.Duration(hour)*time.Hour + time.Duration(minute)*time.Minute)
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
func (c ClockTime) wall() time.Time {
	return time.Date(c.Day.Year, c.Day.Month, c.Day.Day, 0, 0, 0, 0, time.UTC).Add(c.SinceZero)
}

// At returns the instant: by the written offset, or else by the clock of loc. That clock may never have shown the time,
// because a clock change skipped it, which is an error; or twice, and then it is the first time, still summer time.
func (c ClockTime) At(loc *time.Location) (time.Time, error) {
	wall := c.wall()
	if c.Zoned {
		return wall.Add(-c.Offset), nil
	}
	var t time.Time
	found := false
	// No zone changes its clock twice within two days, so the offsets a day before and after are all that can apply.
	for _, near := range []time.Duration{-24 * time.Hour, 24 * time.Hour} {
		_, offset := wall.Add(near).In(loc).Zone()
		candidate := wall.Add(-time.Duration(offset) * time.Second)
		if _, really := candidate.In(loc).Zone(); really == offset && (!found || candidate.Before(t)) {
			t, found = candidate, true
		}
	}
	if !found {
		return t, fmt.Errorf("%s was skipped by a clock change in %s; mend the time, or write it with its offset", wall.Format("2006-01-02 15:04"), loc)
	}
	return t, nil
}

var (
	dayFirst = regexp.MustCompile(`^(\d{1,2})[./-](\d{1,2})[./-](\d{4}|\d{2})(\D|$)`)
	slashed  = regexp.MustCompile(`^\d{4}[./]\d{1,2}[./]\d{1,2}(\D|$)`)
	dated    = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}(\D|$)`)
	serial   = regexp.MustCompile(`^\d{5}([.,]\d+)?$`)
)

// DateProblem says why s is no date, and what is wanted where that isn't plain.
func DateProblem(s, want string) string {
	parts := dayFirst.FindStringSubmatch(s)
	switch {
	case parts != nil && mayBeMonth(parts[1]) && mayBeMonth(parts[2]):
		return fmt.Sprintf("%q could mean two different days; write the year first, YYYY-MM-DD", s)
	case parts != nil:
		return fmt.Sprintf("%q is not how dates are written here; write the year first, YYYY-MM-DD", s)
	case slashed.MatchString(s):
		return fmt.Sprintf("%q is not how dates are written here; use hyphens, YYYY-MM-DD", s)
	case serial.MatchString(s):
		return fmt.Sprintf("%q is a number, as which a spreadsheet keeps a date; have its cells shown as YYYY-MM-DD and save the file again", s)
	case dated.MatchString(s):
		return fmt.Sprintf("%q is not a day that exists; %s", s, want)
	}
	return fmt.Sprintf("%q is not a date; %s", s, want)
}

func mayBeMonth(digits string) bool {
	n, err := strconv.Atoi(digits)
	return err == nil && n <= 12
}
