package crop

import (
	"testing"
	"time"
)

// Clock changes from the IANA time zone database: Europe/Berlin forward at 02:00 on 29 March 2026 and back at 03:00 on 25
// October 2026 (rule EU); Australia/Lord_Howe by half an hour, back at 02:00 on 5 April 2026 (rule LH); Pacific/Apia left out 30
// December 2011.
func TestClockTimeAt(t *testing.T) {
	for _, c := range []struct{ name, zone, in, want string }{
		{"winter", "Europe/Berlin", "2026-02-03T08:15", "2026-02-03T07:15:00Z"},
		{"summer", "Europe/Berlin", "2026-07-03 08:15:30.5", "2026-07-03T06:15:30.5Z"},
		{"hour of one digit", "Europe/Berlin", "2026-02-03 8:15", "2026-02-03T07:15:00Z"},
		{"last before the gap", "Europe/Berlin", "2026-03-29T01:59", "2026-03-29T00:59:00Z"},
		{"first of the gap", "Europe/Berlin", "2026-03-29T02:00", "2026-03-29 02:00 was skipped by a clock change in Europe/Berlin; mend the time, or write it with its offset"},
		{"last of the gap", "Europe/Berlin", "2026-03-29T02:59:59", "2026-03-29 02:59 was skipped by a clock change in Europe/Berlin; mend the time, or write it with its offset"},
		{"first after the gap", "Europe/Berlin", "2026-03-29T03:00", "2026-03-29T01:00:00Z"},
		{"in the gap with an offset", "Europe/Berlin", "2026-03-29T02:30+01:00", "2026-03-29T01:30:00Z"},
		{"twice, the first", "Europe/Berlin", "2026-10-25T02:30", "2026-10-25T00:30:00Z"},
		{"twice, the second by its offset", "Europe/Berlin", "2026-10-25T02:30+01:00", "2026-10-25T01:30:00Z"},
		{"after it", "Europe/Berlin", "2026-10-25T03:00", "2026-10-25T02:00:00Z"},
		{"half an hour twice", "Australia/Lord_Howe", "2026-04-05T01:45", "2026-04-04T14:45:00Z"},
		{"a day left out", "Pacific/Apia", "2011-12-30T12:00", "2011-12-30 12:00 was skipped by a clock change in Pacific/Apia; mend the time, or write it with its offset"},
		{"UTC", "UTC", "2026-02-03T08:15z", "2026-02-03T08:15:00Z"},
	} {
		t.Run(c.name, func(t *testing.T) {
			loc, err := time.LoadLocation(c.zone)
			if err != nil {
				t.Fatal(err)
			}
			written, err := ParseClockTime(c.in)
			if err != nil || !written.Timed {
				t.Fatalf("got %+v, %v", written, err)
			}
			got := ""
			if at, err := written.At(loc); err != nil {
				got = err.Error()
			} else {
				got = at.UTC().Format(time.RFC3339Nano)
			}
			if got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}
