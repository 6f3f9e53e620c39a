package api

import (
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestReportOfARange: both reports sum up a range of days, as of its end, and refuse one that can't be.
func TestReportOfARange(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	for _, p := range []struct{ at, fruits string }{{"2026-02-03T08:15:00Z", "3"}, {"2026-02-05T08:15:00Z", "5"}, {"2026-02-09T08:15:00Z", "7"}} {
		c.add(crop.Pickings, `{"plant_id": "`+lab.plant+`", "picked_at": "`+p.at+`", "stage": "red", "fruits": `+p.fruits+`}`)
	}
	for _, path := range []string{"/reports/seasons/" + lab.season, "/reports/plants/" + lab.plant} {
		for query, says := range map[string]string{
			"?from_day=2026-02-04&to_day=2026-02-08": "4 – 8 Feb 2026: 5 fruit were picked and 0 lost or cleared.",
			"?from_day=2026-02-04":                   "4 – 9 Feb 2026: 12 fruit were picked and 0 lost or cleared.",
			"?to_day=2026-02-08":                     "As of 8 Feb 2026, 23:59",
		} {
			r := c.want(200, "GET", path+query, "")
			if !strings.Contains(r.body, says) {
				t.Errorf("%s%s doesn't say %q", path, query, says)
			}
			if strings.Contains(query, "to_day") && strings.Contains(r.body, "9 Feb 2026") {
				t.Errorf("%s%s speaks of what came later", path, query)
			}
		}
		for query, says := range map[string]string{
			"?from_day=2026-02-09&to_day=2026-02-08":           "from_day is 2026-02-09, after the day that the report speaks of, 2026-02-08",
			"?from_day=2026-03-01":                             "after the day that the report speaks of, 2026-02-09",
			"?from_day=3.2.2026":                               "it must be a day as YYYY-MM-DD",
			"?to_day=2026-02-08&as_of=2026-02-08T00:00:00Z":    "give one of them",
			"?to_day=2026-02-08T00:00:00Z&from_day=2026-02-01": "to_day",
			"?from=2026-02-08":                                 "it takes as_of, hold_days, from_day, to_day",
		} {
			if r := c.want(400, "GET", path+query, ""); !strings.Contains(r.body, says) {
				t.Errorf("%s%s: %s doesn't say %q", path, query, r.body, says)
			}
		}
	}
}
