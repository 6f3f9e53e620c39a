package report_test

import (
	"testing"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// TestPastRipeDaysAgree: the last day of the look back is the report's own number, of every plant; and a day in it is what a report
// as of that day says.
func TestPastRipeDaysAgree(t *testing.T) {
	trial := demoseasons.Load(t)[demoseasons.Autumn]
	r := report.Of(trial, report.Options{NoForecast: true})
	d := r.PastRipeDays
	if len(d.Days) < 2 || len(d.Plant) < 3 {
		t.Fatalf("got %d days of %d plants, too few to say anything", len(d.Days), len(d.Plant))
	}
	for _, at := range []int{0, len(d.Days) / 2, len(d.Days) - 1} {
		day := d.Days[at]
		then := report.Of(trial, report.Options{NoForecast: true, AsOf: day.AddDays(1).Start(r.AsOf.Location()).Add(-1)})
		want := map[string]int{}
		for _, p := range then.Plants {
			want[p.Records.Plant.Label] = p.PastRipe.Certain
		}
		for _, p := range d.Plant {
			if n := p.Certain[at]; n != nil && *n != want[p.Label] {
				t.Errorf("%s on %s: %d, and %d by a report of that day", p.Label, day, *n, want[p.Label])
			}
		}
	}
}
