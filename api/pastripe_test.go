package api

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// Worked by hand: of five red fruit counted on 10 January two were picked on the 12th, so on the 20th, at a hold time of
// seven days, three have hung ripe for ten days at least; of the one red fruit more on the 18th nothing is certain.
func TestPastRipe(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-01-03T09:00:00Z", "counts": {"green": 9, "breaker": 0, "turning": 0, "red": 0}}`))
	c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-01-10T09:00:00Z", "counts": {"green": 4, "breaker": 0, "turning": 0, "red": 5}}`))
	c.add(crop.Pickings, lab.fill(`{"plant_id": "PLANT", "picked_at": "2026-01-12T09:00:00Z", "fruits": 2}`))
	c.add(crop.Visits, lab.fill(`{"plant_id": "PLANT", "counted_at": "2026-01-18T09:00:00Z", "counts": {"green": 3, "breaker": 0, "turning": 0, "red": 4}}`))
	at := "/v1/seasons/" + lab.season + "/past-ripe"
	fewerTold := false
	for _, tc := range []struct {
		name, query   string
		hold          any
		plantHold     float64
		ripe, certain any
	}{
		{"hold time asked for", "?as_of=2026-01-20T09:00:00Z&hold_days=7", 7.0, 7, 4.0, 3.0},
		{"the cultivar's own", "?as_of=2026-01-20T09:00:00Z", nil, 7, 4.0, 3.0},
		{"longer", "?as_of=2026-01-20T09:00:00Z&hold_days=10.5", 10.5, 10.5, 4.0, 0.0},
		{"shorter", "?as_of=2026-01-20T09:00:00Z&hold_days=2", 2.0, 2, 4.0, 4.0},
		{"before the last count", "?as_of=2026-01-17T09:00:00Z&hold_days=7", 7.0, 7, 3.0, 3.0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got := (&client{t, c.handler}).want(200, "GET", at+tc.query, "").object(t)
			plants := got["plants"].([]any)
			if len(plants) != 1 {
				t.Fatalf("got %d plants, want 1", len(plants))
			}
			got["plant"] = plants[0]
			wantPart(t, "", got, map[string]any{
				"hold_days": tc.hold,
				"plant": map[string]any{"plant_id": lab.plant, "plant": "A1", "cultivar": "Pip", "hold_days": tc.plantHold,
					"standing_ripe": tc.ripe, "certain": tc.certain},
				"season": map[string]any{"standing_ripe": tc.ripe, "certain": tc.certain},
			})
			told := decoded[pastRipeAnswer](t, (&client{t, c.handler}).want(200, "GET", at+tc.query, "").body).Plants[0]
			if fewer := told.Expected.Mean < float64(told.Certain); fewer != strings.Contains(strings.Join(told.Warnings, " "), "The model expects fewer than the") {
				t.Errorf("%d certain, expected %+v, but the warnings are %q", told.Certain, told.Expected, told.Warnings)
			}
			fewerTold = fewerTold || told.Expected.Mean < float64(told.Certain)
			if w := got["warnings"].([]any); len(w) < 2 {
				t.Errorf("warnings %v: want what certain rests on, and what is expected", w)
			}
		})
	}
	if !fewerTold {
		t.Error("nowhere is less expected than is certain, so nothing was tested of what is said then")
	}
	// None was ripe on 3 January at 09:00, so on the 20th at 09:00 the oldest can have hung for 17 days.
	plant := c.want(200, "GET", at+"?as_of=2026-01-20T09:00:00Z", "").object(t)["plants"].([]any)[0]
	wantPart(t, "", plant, map[string]any{"longest_days": 17.0})

	for _, target := range []string{at + "?hold_days=0", at + "?hold_days=366", at + "?hold_days=NaN", at + "?hold_days=Inf", at + "?hold_days=a week", at + "?as_of=now", at + "?days=7"} {
		c.want(400, "GET", target, "")
	}
	c.want(404, "GET", "/v1/seasons/0198b2c4-0000-7000-8000-000000000001/past-ripe", "")
}

// TestExpectedPastRipe: of twenty fruit that redden one after the other, none picked, the model expects about as many past ripe as are
// certain, those that nobody saw turn included; of plants that it knows nothing of it says why.
func TestExpectedPastRipe(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	other := func(label, more string) {
		c.add(crop.Plants, lab.fill(`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "`+label+`", "sown_on": "2025-10-01"`+more+`}`))
	}
	other("A2", "")
	other("A3", `, "removed_on": "2026-01-20"`)
	for i, red := range []int{0, 1, 2, 3, 5, 6} {
		at := time.Date(2026, 1, 3+4*i, 9, 0, 0, 0, time.UTC).Format(time.RFC3339)
		c.add(crop.Visits, lab.fill(fmt.Sprintf(`{"plant_id": "PLANT", "counted_at": %q, "counts": {"green": %d, "breaker": 1, "turning": 1, "red": %d}}`, at, 18-red, red)))
	}
	at := "/v1/seasons/" + lab.season + "/past-ripe?as_of=2026-01-25T09:00:00Z&hold_days="
	for hold, certain := range map[string]int{"2": 6, "5": 5, "7": 3, "10": 3, "12": 2} {
		a := decoded[pastRipeAnswer](t, c.want(200, "GET", at+hold, "").body)
		x := a.Plants[0].Expected
		if a.Plants[0].Certain != certain || x == nil || a.Plants[0].ExpectedReason != nil {
			t.Fatalf("hold %s: %+v", hold, a.Plants[0])
		}
		if x.High < certain || float64(x.Low) > x.Mean || float64(x.High) < x.Mean || x.Mean > 8 || x.Level != 0.9 {
			t.Errorf("hold %s: certain %d, expected %+v", hold, certain, x)
		}
		for i, m := range x.MoreThan {
			if i > 0 && (m.Fruits != x.MoreThan[i-1].Fruits+1 || m.Chance > x.MoreThan[i-1].Chance) || (m.Chance > 0.05) != (m.Fruits < x.High) && m.Chance != 0.05 {
				t.Errorf("hold %s: chances %+v of %+v", hold, x.MoreThan, x)
			}
		}
		if s := a.Season.Expected; s == nil || s.Low != x.Low || s.High != x.High {
			t.Errorf("hold %s: the season %+v, its one plant that was counted %+v", hold, s, x)
		}
		for i, why := range map[int]string{1: "never been counted", 2: "is removed"} {
			if p := a.Plants[i]; p.Expected != nil || p.ExpectedReason == nil || !strings.Contains(*p.ExpectedReason, why) {
				t.Errorf("%s: %+v", p.Plant, p)
			}
		}
	}
	a := decoded[pastRipeAnswer](t, c.want(200, "GET", "/v1/seasons/"+lab.season+"/past-ripe?as_of=2026-04-25T09:00:00Z", "").body)
	if p := a.Plants[0]; p.Expected != nil || !strings.Contains(*p.ExpectedReason, "more than 60 days") || a.Season.Expected != nil {
		t.Errorf("three months after the last count: %+v", p)
	}
}
