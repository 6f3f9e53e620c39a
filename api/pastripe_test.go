package api

import (
	"testing"

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
					"standing_ripe": tc.ripe, "certain": tc.certain, "expected": nil},
				"season": map[string]any{"standing_ripe": tc.ripe, "certain": tc.certain, "expected": nil},
			})
			if w := got["warnings"].([]any); len(w) < 2 {
				t.Errorf("warnings %v: want what certain rests on and that there is no model", w)
			}
		})
	}
	// None was ripe on 3 January at 09:00, so on the 20th at 09:00 the oldest can have hung for 17 days.
	plant := c.want(200, "GET", at+"?as_of=2026-01-20T09:00:00Z", "").object(t)["plants"].([]any)[0]
	wantPart(t, "", plant, map[string]any{"longest_days": 17.0})

	for _, target := range []string{at + "?hold_days=0", at + "?hold_days=366", at + "?hold_days=NaN", at + "?hold_days=Inf", at + "?hold_days=a week", at + "?as_of=now", at + "?days=7"} {
		c.want(400, "GET", target, "")
	}
	c.want(404, "GET", "/v1/seasons/0198b2c4-0000-7000-8000-000000000001/past-ripe", "")
}
