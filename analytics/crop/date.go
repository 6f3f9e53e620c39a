package crop

import (
	"errors"
	"time"
)

// Date is a day of the calendar (proleptic Gregorian), with no time and no zone. The zero Date is none.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

const dateLayout = "2006-01-02"

var errDate = errors.New("not a date: want YYYY-MM-DD, a day that exists")

// ParseDate reads YYYY-MM-DD and refuses days that don't exist.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(dateLayout, s)
	if err != nil || t.Year() < 1900 || t.Year() > 2999 {
		return Date{}, errDate
	}
	return DateOf(t), nil
}

// DateOf returns the day that t shows in its own location.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{Year: y, Month: m, Day: d}
}

// IsZero tells whether the date is none.
func (d Date) IsZero() bool { return d == Date{} }

// Compare returns -1, 0 or +1 as d is before, on or after other.
func (d Date) Compare(other Date) int { return d.utc().Compare(other.utc()) }

// Before tells whether d comes before other.
func (d Date) Before(other Date) bool { return d.Compare(other) < 0 }

// After tells whether d comes after other.
func (d Date) After(other Date) bool { return d.Compare(other) > 0 }

// AddDays returns the day n days later (earlier if n is negative).
func (d Date) AddDays(n int) Date { return DateOf(d.utc().AddDate(0, 0, n)) }

// DaysSince returns the number of days from other to d.
func (d Date) DaysSince(other Date) int {
	const day = 24 * 60 * 60 // in seconds, for a time.Duration ends at 292 years
	return int((d.utc().Unix() - other.utc().Unix()) / day)
}

// Monday returns the first day of the day's ISO 8601 week.
func (d Date) Monday() Date { return d.AddDays(-(int(d.utc().Weekday()+6) % 7)) }

// Start returns the first instant of the day in loc; where a clock change skips midnight, the first instant that exists.
func (d Date) Start(loc *time.Location) time.Time {
	t := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, loc)
	if DateOf(t) == d && t.Hour() == 0 && t.Minute() == 0 && t.Second() == 0 {
		return t
	}
	// There is no midnight, and Go chose a time on either side of the change, which is where the day begins.
	before, after := t.ZoneBounds()
	if DateOf(t).Before(d) {
		return after
	}
	return before
}

// Noon returns 12:00 of the day in loc.
func (d Date) Noon(loc *time.Location) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, loc)
}

func (d Date) utc() time.Time { return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC) }

func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return d.utc().Format(dateLayout)
}

// MarshalText writes YYYY-MM-DD.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads YYYY-MM-DD.
func (d *Date) UnmarshalText(text []byte) error {
	parsed, err := ParseDate(string(text))
	if err != nil {
		return err
	}
	*d = parsed
	return nil
}
