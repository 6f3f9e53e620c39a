package crop

import (
	"errors"
	"strings"
	"time"
)

// Moment is when something was seen or done: an instant, or a day alone, because notebooks have dates.
//
// A day alone stands at noon of that day in the place's zone until something better is known (see Trial); it stays a day
// when the zone changes. Instants are kept to the millisecond.
type Moment struct {
	// At is the instant; for a day alone the instant that stands in for it. Its location is the place's once placed.
	At time.Time
	// Day is the recorded day of a moment without a time, and the zero Date when the time is known.
	Day Date
}

var errMoment = errors.New("not a time: want RFC 3339 with an offset, such as 2026-02-03T08:15:00+01:00, or a day alone, YYYY-MM-DD")

// InstantMoment is a moment whose time is known.
func InstantMoment(t time.Time) Moment { return Moment{At: t.Truncate(time.Millisecond)} }

// DayMoment is a day alone, standing at noon in loc.
func DayMoment(d Date, loc *time.Location) Moment { return Moment{At: d.Noon(loc), Day: d} }

// ParseMoment reads RFC 3339 with an offset, or a day alone (which then stands at noon UTC until it is placed).
func ParseMoment(s string) (Moment, error) {
	if len(s) == len(dateLayout) {
		d, err := ParseDate(s)
		if err != nil {
			return Moment{}, errMoment
		}
		return DayMoment(d, time.UTC), nil
	}
	t, err := time.Parse(time.RFC3339Nano, s)
	if err != nil || lax(s) || t.Year() < 1900 || t.Year() > 2999 {
		return Moment{}, errMoment
	}
	return InstantMoment(t), nil
}

// lax tells whether a time that time.Parse accepts breaks RFC 3339 all the same: a one-digit hour, a decimal comma, an
// offset beyond 23:59 (go.dev/issue/54580; UnmarshalText is as lax).
func lax(s string) bool {
	offset := s[len(s)-len("00:00"):]
	return s[len("2006-01-02T15")] != ':' || strings.Contains(s, ",") ||
		!strings.HasSuffix(s, "Z") && (offset[:2] > "23" || offset[3:] > "59")
}

// TimeKnown tells whether the time of day was recorded.
func (m Moment) TimeKnown() bool { return m.Day.IsZero() }

// IsZero tells whether there is no moment at all.
func (m Moment) IsZero() bool { return m.At.IsZero() && m.Day.IsZero() }

// In places the moment in loc: an instant keeps its instant and shows loc's clock, a day alone moves to noon there.
func (m Moment) In(loc *time.Location) Moment {
	if m.TimeKnown() {
		m.At = m.At.In(loc)
		return m
	}
	return DayMoment(m.Day, loc)
}

// LocalDate is the recorded day, or the day that the instant shows in its location.
func (m Moment) LocalDate() Date {
	if m.TimeKnown() {
		return DateOf(m.At)
	}
	return m.Day
}

// Latest is the last instant the moment can mean: itself, or the last millisecond of its day.
func (m Moment) Latest() time.Time {
	if m.TimeKnown() {
		return m.At
	}
	return m.Day.AddDays(1).Start(m.At.Location()).Add(-time.Millisecond)
}

// Within tells whether the moment lies at or before asOf; a day alone is within by its date in its own zone.
func (m Moment) Within(asOf time.Time) bool {
	if m.TimeKnown() {
		return !m.At.After(asOf)
	}
	return !m.Day.After(DateOf(asOf.In(m.At.Location())))
}

// Same tells whether two moments were recorded alike: the same instant, or the same day alone.
func (m Moment) Same(other Moment) bool {
	if m.TimeKnown() != other.TimeKnown() {
		return false
	}
	if m.TimeKnown() {
		return m.At.Equal(other.At)
	}
	return m.Day == other.Day
}

// Stamp writes an instant as RFC 3339 to the millisecond with its location's offset, or in UTC where that offset has
// seconds (local mean times, such as Amsterdam's before 1937), for which RFC 3339 has no form.
func Stamp(t time.Time) string {
	if _, offset := t.Zone(); offset%60 != 0 {
		t = t.UTC()
	}
	return t.Format("2006-01-02T15:04:05.999Z07:00")
}

// String is the recorded form: RFC 3339 with the location's offset, or YYYY-MM-DD.
func (m Moment) String() string {
	switch {
	case m.IsZero():
		return ""
	case m.TimeKnown():
		return Stamp(m.At)
	default:
		return m.Day.String()
	}
}

// MarshalText writes the recorded form.
func (m Moment) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (m *Moment) UnmarshalText(text []byte) error {
	parsed, err := ParseMoment(string(text))
	if err != nil {
		return err
	}
	*m = parsed
	return nil
}

// MomentOf returns where a record keeps its moment, so that it can be set; nil for the kinds that have none.
func MomentOf(r Record) *Moment {
	switch r := r.(type) {
	case *Visit:
		return &r.CountedAt
	case *Picking:
		return &r.PickedAt
	case *Loss:
		return &r.LostAt
	case *DiaryEntry:
		return &r.NotedAt
	}
	return nil
}
