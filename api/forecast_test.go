package api

import (
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// colouring counts the trial's plant on five days, ten fruit in all, as they turn red one after the other, and picks three.
func colouring(c *client, lab trial) {
	c.Helper()
	for i, counts := range []string{
		`"green": 10, "breaker": 0, "turning": 0, "red": 0`, `"green": 9, "breaker": 1, "turning": 0, "red": 0`, `"green": 7, "breaker": 1, "turning": 1, "red": 1`,
		`"green": 5, "breaker": 2, "turning": 0, "red": 3`, `"green": 4, "breaker": 1, "turning": 1, "red": 1`,
	} {
		day := time.Date(2026, 2, 10+4*i, 9, 0, 0, 0, time.UTC).Format(time.RFC3339)
		c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "`+day+`", "counts": {`+counts+`}}`))
	}
	for day, grams := range map[string]string{"2026-02-22T10:00:00Z": "17.1", "2026-02-22T11:00:00Z": "9.4"} {
		fruits := "2"
		if grams == "9.4" {
			fruits = "1"
		}
		c.add(crop.Pickings, lab.fill(`{"plant_id": "PLANT", "picked_at": "`+day+`", "fruits": `+fruits+`, "mass_g": `+grams+`}`))
	}
}

// TestForecast: the answer has the shape of the contract, and its numbers agree with each other.
func TestForecast(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	colouring(c, lab)
	at := "/v1/seasons/" + lab.season + "/forecast"
	for query, days := range map[string]int{"": 14, "?days=1": 1, "?days=28": 28, "?as_of=2026-02-27T09:00:00%2B01:00": 14} {
		a := decoded[forecastAnswer](t, c.want(200, "GET", at+query, "").body)
		if len(a.Plants) != 1 || a.Plants[0].PlantID.String() != lab.plant || a.Plants[0].Plant != "A1" || a.Plants[0].Cultivar != "Pip" || a.Days != days {
			t.Fatalf("%q: plants %+v, days %d", query, a.Plants, a.Days)
		}
		for what, list := range map[string][]dayForecast{"plant": a.Plants[0].NewlyRipe, "cultivar": a.Cultivars[0].NewlyRipe, "season": a.Season.NewlyRipe} {
			if len(list) != days {
				t.Fatalf("%q: %s: %d days", query, what, len(list))
			}
			for i, d := range list {
				q := d.Quantiles
				if d.Days != i+1 || q.Q05 > q.Q10 || q.Q10 > q.Q25 || q.Q25 > q.Q50 || q.Q50 > q.Q75 || q.Q75 > q.Q90 || q.Q90 > q.Q95 || i > 0 && d.Mean < list[i-1].Mean {
					t.Errorf("%q: %s: day %d is %+v", query, what, i+1, d)
				}
				// One plant is its cultivar's and its season's only one.
				if d != a.Plants[0].NewlyRipe[i] {
					t.Errorf("%q: %s: %+v, the plant %+v", query, what, d, a.Plants[0].NewlyRipe[i])
				}
			}
		}
		// So are its fruit to come the cultivar's and the season's.
		own := a.Plants[0].ToCome
		for what, x := range map[string]*toComeAnswer{"cultivar": a.Cultivars[0].ToCome, "season": a.Season.ToCome} {
			if x == nil || x.Mean != own.Mean || x.Low != own.Low || x.High != own.High || !x.HalfBy.Equal(*own.HalfBy) || !x.AllBy.Equal(*own.AllBy) {
				t.Errorf("%q: to come of the %s %+v, of its plant %+v", query, what, x, own)
			}
		}
		if !own.HalfByLow.Before(*own.HalfByHigh) || own.AllBy.Before(*own.MostBy) || own.MostBy.Before(*own.HalfBy) {
			t.Errorf("%q: to come %+v", query, own)
		}
		residence := a.Cultivars[0].Residence
		if len(residence) != 3 || residence[0].From != "green" || residence[2].To != "red" {
			t.Errorf("%q: residence %+v", query, residence)
		}
		for _, r := range residence {
			if r.Low <= 0 || r.Low > r.MeanDays || r.MeanDays > r.High {
				t.Errorf("%q: residence %+v", query, r)
			}
		}
		if a.Clock.Kind != "calendar" || a.Clock.ReferenceC != nil || len(a.Warnings) < 2 || a.Plants[0].ToCome.Mean < 3 || a.Plants[0].ToCome.Mean > 12 {
			t.Errorf("%q: clock %+v, to come %+v, warnings %q", query, a.Clock, a.Plants[0].ToCome, a.Warnings)
		}
	}
	a := decoded[forecastAnswer](t, c.want(200, "GET", at, "").body)
	if len(a.PickPlan) == 0 || a.PickPlan[0].Plants[0] != "A1" || a.PickPlan[0].Fruits.Low > a.PickPlan[0].Fruits.Mean || a.PickPlan[0].Grams == nil {
		t.Fatalf("plan %+v", a.PickPlan)
	}
	// 26.5 g in 3 fruit.
	if got := a.PickPlan[0].Grams.Mean / a.PickPlan[0].Fruits.Mean; got < 8.82 || got > 8.85 {
		t.Errorf("a fruit of the plan has %v g, those weighed 8.83", got)
	}
	warm := decoded[forecastAnswer](t, c.want(200, "GET", at+"?air_c=26", "").body)
	cold := decoded[forecastAnswer](t, c.want(200, "GET", at+"?air_c=14", "").body)
	if w, k := warm.Season.NewlyRipe[13].Mean, cold.Season.NewlyRipe[13].Mean; w < 1.3*k {
		t.Errorf("in two weeks %v ripen at 26 °C and %v at 14 °C", w, k)
	}
	for _, p := range decoded[forecastAnswer](t, c.want(200, "GET", at+"?weekdays=mon,Thu&tolerated=0", "").body).PickPlan {
		if d := p.On.Noon(time.UTC).Weekday(); d != time.Monday && d != time.Thursday {
			t.Errorf("a picking on %s, a %s", p.On, d)
		}
	}
}

func TestForecastRefusals(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	at := "/v1/seasons/" + lab.season + "/forecast"
	for query, want := range map[string]string{
		"days=0": "whole number from 1 to 28", "days=29": "whole number from 1 to 28", "days=7.5": "whole number from 1 to 28", "days=": "whole number",
		"air_c=NaN": "number from 0 to 45", "air_c=60": "number from 0 to 45", "hold_days=0": "number of days from 0.25 to 365", "tolerated=0.6": "number from 0 to 0.5", "tolerated=-0.1": "number from 0 to 0.5",
		"weekdays=monday": "mon, tue, wed", "weekdays=mon,": "mon, tue, wed", "as_of=2026-02-03": "RFC 3339", "horizon=7": "it takes as_of, days, air_c, hold_days, weekdays, tolerated",
	} {
		if r := c.want(400, "GET", at+"?"+query, ""); !strings.Contains(r.body, want) {
			t.Errorf("%s: %s; want %q in it", query, r.body, want)
		}
	}
	c.want(404, "GET", "/v1/seasons/0198b2c4-0000-7000-8000-000000000001/forecast", "")
}

// TestNothingToForecast: it is said, and nothing is missing from the answer.
func TestNothingToForecast(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	empty := c.add(crop.Seasons, `{"name": "without plants"}`)
	for name, season := range map[string]string{"a plant never counted": lab.season, "no plants": empty} {
		for _, query := range []string{"", "?as_of=1900-01-01T00:00:00Z", "?as_of=2999-12-31T23:59:59Z", "?air_c=0&days=28&tolerated=0.5&weekdays=sun"} {
			a := decoded[forecastAnswer](t, c.want(200, "GET", "/v1/seasons/"+season+"/forecast"+query, "").body)
			if len(a.Plants)+len(a.PickPlan)+len(a.Season.NewlyRipe)+len(a.CountNext) != 0 || a.Season.PastRipe != nil || a.Season.ToCome != nil || !strings.Contains(strings.Join(a.Warnings, " "), "nothing to forecast") {
				t.Errorf("%s%s: %+v", name, query, a)
			}
		}
	}
}

// TestTreatedPlantsAreLeftOut: until the day on which it may be picked again.
func TestTreatedPlantsAreLeftOut(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	colouring(c, lab)
	c.add(crop.Diary, lab.fill(`{"season_id": "SEASON", "plant_id": "PLANT", "noted_at": "2026-02-27T10:00:00Z", "kind": "treated", "pick_not_before": "2026-03-08"}`))
	a := decoded[forecastAnswer](t, c.want(200, "GET", "/v1/seasons/"+lab.season+"/forecast", "").body)
	if len(a.Plan.Warnings) != 1 || !strings.Contains(a.Plan.Warnings[0], "A1 was treated") || len(a.PickPlan) == 0 {
		t.Fatalf("plan %+v, %+v", a.Plan, a.PickPlan)
	}
	for _, p := range a.PickPlan {
		if p.On.String() < "2026-03-08" {
			t.Errorf("a picking on %s of a plant that was treated", p.On)
		}
	}
}

// TestLongAfterTheLastCount: of a season that was never closed nothing is forecast, and it isn't followed through the years.
func TestLongAfterTheLastCount(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	colouring(c, lab)
	for day, plants := range map[string]int{"2026-04-27": 1, "2026-04-28": 0, "2027-03-01": 0, "2999-12-31": 0} {
		a := decoded[forecastAnswer](t, c.want(200, "GET", "/v1/seasons/"+lab.season+"/forecast?as_of="+day+"T00:00:00Z", "").body)
		if len(a.Plants) != plants || plants == 0 && len(a.Warnings) != 1 {
			t.Errorf("%s: %d plants, want %d; %q", day, len(a.Plants), plants, a.Warnings)
		}
	}
}
