package api

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

// firstCount is when ripen begins.
var firstCount = time.Date(2025, 11, 1, 12, 0, 0, 0, time.UTC)

// ripen counts the trial's plant every fourth day, of whose thirty fruit half are red after thirty days; counts is written with how many
// are red and how many aren't.
func ripen(c *client, lab trial, counts string) {
	for n := range 16 {
		red := int(math.Round(30 / (1 + math.Exp(-(float64(4*n)-30)/5))))
		c.add("counts", lab.fill(fmt.Sprintf(`{"plant_id": "PLANT", "counted_at": %q, "counts": `, firstCount.AddDate(0, 0, 4*n).Format(time.RFC3339))+fmt.Sprintf(counts, red, 30-red)+"}"))
	}
}

// TestCurvesClock: without readings days are the calendar's; with them the thermal clock is taken, unless the calendar is asked for.
func TestCurvesClock(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	at := "/v1/seasons/" + lab.season + "/curves"
	ripen(c, lab, `{"red": %[1]d}`)
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

// TestCurvesMethod: by event times a plant is asked for all its fruit, and half of those is when half of them are red.
func TestCurvesMethod(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	at := "/v1/seasons/" + lab.season + "/curves?clock=calendar&as_of=2026-02-01T00:00:00Z"
	ripen(c, lab, `{"green": %[2]d, "breaker": 0, "turning": 0, "red": %[1]d}`)
	red := func(query string) (curvesAnswer, curveAnswer) {
		t.Helper()
		a := decoded[curvesAnswer](t, c.want(200, "GET", at+query, "").body)
		for _, k := range a.Curves {
			if k.Scope == "plant" && k.Stage == "red" {
				return a, k
			}
		}
		t.Fatalf("%s: no curve: %+v", query, a.Refused)
		return a, curveAnswer{}
	}
	for query, want := range map[string][2]string{"": {"least_squares", "fitted_level"}, "&method=least_squares": {"least_squares", "fitted_level"}, "&method=event_times": {"event_times", "fruit_set"}} {
		a, k := red(query)
		if string(a.Method) != want[0] || k.SharesOf != want[1] {
			t.Errorf("%q: method %s, shares of %s", query, a.Method, k.SharesOf)
		}
		if x := k.T50; x == nil || x.Low == nil || math.Abs(x.At.Sub(firstCount).Hours()/24-30) > 1 || *x.Low >= x.StandardDays || *x.High <= x.StandardDays {
			t.Errorf("%q: t50 is %+v", query, x)
		}
	}
	if _, k := red("&method=event_times"); k.Parameters["a"] != 30 || k.StandardErrors["a"] != nil || k.StandardErrors["t0"] == nil {
		t.Errorf("parameters %v, errors %v", k.Parameters, k.StandardErrors)
	}
	c.want(400, "GET", at+"&method=guess", "")
}
