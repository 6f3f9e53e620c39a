package curve_test

import (
	"strings"
	"testing"

	"vinetally/analytics/curve"
)

// TestGivenUpCountEntersAsBound follows a given-up count, and fruit of a unit, from the records to the curve. "At least 22" between 6 and 27 red
// says that the rise came early; left out it would have come in the middle, and as a number that can't fall it would be the same
// bound's lower end.
func TestGivenUpCountEntersAsBound(t *testing.T) {
	rise := "count 2026-03-01 red=0\ncount 2026-03-04 red=1\ncount 2026-03-07 red=2\ncount 2026-03-10 red=6\n"
	end := "count 2026-03-22 red=27\ncount 2026-03-25 red=29\ncount 2026-03-28 red=30\ncount 2026-03-31 red=30\n"
	red := func(script string) *curve.Curve {
		t.Helper()
		r := bed(t, script)
		for i := range r.Curves {
			if c := &r.Curves[i]; c.Stage == "red" && c.Scope == curve.ScopePlant {
				return c
			}
		}
		t.Fatalf("no curve of red: %+v", r.Refused)
		return nil
	}
	left, given := red(rise+end), red(rise+"count 2026-03-13 red=22 at_least\n"+end)
	if given.T50 == nil || left.T50 == nil || given.T50.Days >= left.T50.Days-0.3 {
		t.Errorf("t50 %+v with at least 22 on the 13th, %+v without", given.T50, left.T50)
	}
	if given.RestsOn.Visits != left.RestsOn.Visits {
		t.Errorf("rests on %d counts, want the %d that tell a number", given.RestsOn.Visits, left.RestsOn.Visits)
	}
	const words = "One count leaves the number open"
	if !strings.Contains(strings.Join(given.Warnings, "\n"), words) || strings.Contains(strings.Join(left.Warnings, "\n"), words) {
		t.Errorf("warnings %q and %q", given.Warnings, left.Warnings)
	}
	known := red(rise + "count 2026-03-13 red=3 at_least\n" + end)
	if known.T50.Days != left.T50.Days || known.AICc != left.AICc {
		t.Errorf("t50 %v where a bound says less than the count before it, want %v", known.T50.Days, left.T50.Days)
	}
	wrong := red(rise + "count 2026-03-13 red=60 at_least\n" + end)
	if wrong.T50.Days != left.T50.Days || !strings.Contains(strings.Join(wrong.Warnings, "\n"), "left out of the curve") {
		t.Errorf("t50 %v beside a bound that every later count contradicts, want %v; %q", wrong.T50.Days, left.T50.Days, wrong.Warnings)
	}
	// From the 29th on between none and two of the unit's red fruit were of this plant.
	unit := red(rise + "count 2026-03-13 red=12\ncount 2026-03-16 red=18\n" + end + "unit pick 2026-04-01 red 2\ncount 2026-04-02 red=29\ncount 2026-04-05 red=29\n")
	if !strings.Contains(strings.Join(unit.Warnings, "\n"), "2 counts leave the number open") {
		t.Errorf("after a unit's picking: %q", unit.Warnings)
	}
}
