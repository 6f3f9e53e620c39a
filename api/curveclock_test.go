package api

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

// TestCurvesClock: without readings days are the calendar's; with them the thermal clock is taken, unless the calendar is asked for.
func TestCurvesClock(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	at := "/v1/seasons/" + lab.season + "/curves"
	start := time.Date(2025, 11, 1, 12, 0, 0, 0, time.UTC)
	for n := range 16 {
		when := start.AddDate(0, 0, 4*n)
		red := int(math.Round(30 / (1 + math.Exp(-(float64(4*n)-30)/5))))
		c.add("counts", lab.fill(fmt.Sprintf(`{"plant_id": "PLANT", "counted_at": %q, "counts": {"red": %d}}`, when.Format(time.RFC3339), red)))
	}
	t50 := func(query string) (curvesAnswer, *crossingAnswer) {
		t.Helper()
		a := decoded[curvesAnswer](t, c.want(200, "GET", at+"?as_of=2026-01-15T00:00:00Z"+query, "").body)
		for _, k := range a.Curves {
			if k.Scope == "plant" && k.Stage == "red" {
				return a, k.T50
			}
		}
		t.Fatalf("%s: no curve: %+v", query, a.Refused)
		return a, nil
	}
	for _, query := range []string{"", "&clock=thermal", "&clock=calendar"} {
		a, x := t50(query)
		if a.Clock.Kind != "calendar" || a.Clock.ReferenceC != nil || x.StandardDays != x.Days || x.ClockError != nil || len(a.Warnings) == 0 || !strings.HasPrefix(a.Warnings[0], "All days are calendar days") {
			t.Errorf("%q without readings: %+v, %+v, %q", query, a.Clock, x, a.Warnings)
		}
	}
	var bulk strings.Builder
	bulk.WriteString("place_id,measured_at,air_c\n")
	for h := range 24 * 110 {
		fmt.Fprintf(&bulk, "%s,%s,24\n", lab.place, time.Date(2025, 9, 28, 0, 0, 0, 0, time.UTC).Add(time.Duration(h)*time.Hour).Format(time.RFC3339))
	}
	c.want(200, "POST", "/v1/temperatures/bulk", bulk.String(), "Content-Type", "text/csv")
	a, warm := t50("")
	if a.Clock.Kind != "thermal" || a.Clock.ReferenceC == nil || *a.Clock.ReferenceC != 20 || warm.StandardDays < 1.1*warm.Days || warm.ClockError == nil {
		t.Errorf("with readings of 24 °C: %+v, %+v", a.Clock, warm)
	}
	if warm.AtLow == nil || !warm.AtLow.Before(warm.At) || !warm.AtHigh.After(warm.At) || *warm.Low >= warm.StandardDays || *warm.High <= warm.StandardDays {
		t.Errorf("interval %+v", warm)
	}
	_, asked := t50("&clock=calendar")
	if asked.StandardDays != asked.Days || math.Abs(asked.Days-warm.Days) > 0.1 {
		t.Errorf("the calendar says %+v, temperature %+v", asked, warm)
	}
	c.want(400, "GET", at+"?clock=sundial", "")
}
