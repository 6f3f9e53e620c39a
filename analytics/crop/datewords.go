package crop

import "time"

// How days and times are written wherever a person reads them: the month as a word, since 03/02 is read both ways, and
// short, since they stand in the columns of tables on a phone. Programs and files get ISO 8601 (see Date.String).
const (
	dayWords   = "2 Jan 2006"
	clockWords = "2 Jan 2006, 15:04"
)

// Words writes the day for a reader: 3 Feb 2026. The zero Date is written as nothing.
func (d Date) Words() string {
	if d.IsZero() {
		return ""
	}
	return d.utc().Format(dayWords)
}

// DayWords writes the day that t shows in its own location: 3 Feb 2026.
func DayWords(t time.Time) string { return t.Format(dayWords) }

// ClockWords writes the day and time that t shows in its own location: 3 Feb 2026, 08:15.
func ClockWords(t time.Time) string { return t.Format(clockWords) }

// Words writes the moment as it was recorded: 3 Feb 2026, 08:15, or the day alone where the time isn't known.
func (m Moment) Words() string {
	if !m.TimeKnown() {
		return m.Day.Words()
	}
	return ClockWords(m.At)
}

// RangeWords writes two days: 27 Dec 2025 – 7 Jan 2026, and the year once where both are in it: 3 – 9 Feb 2026.
func RangeWords(from, to Date) string {
	first := "2 Jan 2006"
	switch {
	case from == to:
		return from.Words()
	case from.Year == to.Year && from.Month == to.Month:
		first = "2"
	case from.Year == to.Year:
		first = "2 Jan"
	}
	return from.utc().Format(first) + " – " + to.Words()
}
