package crop

import (
	"testing"
	"time"
)

func TestDateWords(t *testing.T) {
	day := func(y int, m time.Month, d int) Date { return Date{Year: y, Month: m, Day: d} }
	lisbon, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		t.Fatal(err)
	}
	late := time.Date(2026, 8, 31, 23, 30, 0, 0, time.UTC)
	for _, c := range []struct{ got, want string }{
		{Date{}.Words(), ""},
		{day(2026, 2, 3).Words(), "3 Feb 2026"},
		{day(2026, 9, 19).Words(), "19 Sep 2026"},
		{DayWords(late), "31 Aug 2026"},
		{DayWords(late.In(lisbon)), "1 Sep 2026"},
		{ClockWords(late.In(lisbon)), "1 Sep 2026, 00:30"},
		{InstantMoment(late).Words(), "31 Aug 2026, 23:30"},
		{InstantMoment(day(2026, 2, 3).Noon(time.UTC)).Words(), "3 Feb 2026, 12:00"},
		{DayMoment(day(2026, 2, 3), lisbon).Words(), "3 Feb 2026"},
		{RangeWords(day(2025, 12, 27), day(2026, 1, 7)), "27 Dec 2025 – 7 Jan 2026"},
		{RangeWords(day(2026, 1, 27), day(2026, 2, 7)), "27 Jan – 7 Feb 2026"},
		{RangeWords(day(2026, 2, 3), day(2026, 2, 9)), "3 – 9 Feb 2026"},
		{RangeWords(day(2026, 2, 3), day(2026, 2, 3)), "3 Feb 2026"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
