package demotrial

import (
	"fmt"
	"time"
	_ "time/tzdata" // the zone must be known on machines without zone files
)

// zoneName is where the invented household lives; both its seasons cross a
// change of the clocks (26 October 2025 and 25 October 2026).
const zoneName = "Europe/Lisbon"

var zone = mustZone(zoneName)

func mustZone(name string) *time.Location {
	z, err := time.LoadLocation(name)
	if err != nil {
		panic(fmt.Sprintf("demotrial: time zone %s: %v", name, err))
	}
	return z
}

// day returns midnight at the start of a date written YYYY-MM-DD.
func day(date string) time.Time {
	t, err := time.ParseInLocation(time.DateOnly, date, zone)
	if err != nil {
		panic(fmt.Sprintf("demotrial: date %q: %v", date, err))
	}
	return t
}

// dateOf returns the date on which t falls in the household's zone.
func dateOf(t time.Time) string { return t.In(zone).Format(time.DateOnly) }

// addDays returns the date n days later.
func addDays(date string, n int) string { return dateOf(day(date).AddDate(0, 0, n)) }

// clock returns the moment at hour:minute on a date.
func clock(date string, hour, minute int) time.Time {
	d := day(date)
	return time.Date(d.Year(), d.Month(), d.Day(), hour, minute, 0, 0, zone)
}

// stamp is when a record was made: a moment, or a date alone as notebooks have
// it. The moment of a date alone is noon, as the file format has it.
type stamp struct {
	at       time.Time
	dateOnly bool
}

func moment(t time.Time) stamp { return stamp{at: t} }

func dateAlone(date string) stamp { return stamp{at: clock(date, 12, 0), dateOnly: true} }

// text returns the stamp as the CSV files have it: RFC 3339 with the offset of
// the household's zone, or a date.
func (s stamp) text() string {
	if s.dateOnly {
		return dateOf(s.at)
	}
	return s.at.In(zone).Format(time.RFC3339)
}

// hours is time on the season's own axis, as the simulator of fruit has it: hours
// since its first midnight.
type hours = float64

func (s seasonPlan) hour(t time.Time) hours { return t.Sub(day(s.firstDay)).Hours() }

func (s seasonPlan) instant(h hours) time.Time {
	return day(s.firstDay).Add(time.Duration(h * float64(time.Hour)))
}
