package api

import (
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestYieldAndWaste: one plant, sown on 1 October: ripe fruit seen on day 61, 4 of 40 g picked then, 2 more that nobody weighed, a cull,
// one split, and the plant removed on day 70.
func TestYieldAndWaste(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	for _, r := range [][2]string{
		{"counts", `{"plant_id": "PLANT", "counted_at": "2025-11-27T09:00:00Z", "counts": {"green": 8, "breaker": 1, "turning": 0, "red": 0}}`},
		{"counts", `{"plant_id": "PLANT", "counted_at": "2025-12-01T09:00:00Z", "counts": {"green": 3, "breaker": 1, "turning": 1, "red": 4}}`},
		{"pickings", `{"plant_id": "PLANT", "picked_at": "2025-12-01T09:05:00Z", "stage": "red", "fruits": 4, "mass_g": 40}`},
		{"pickings", `{"plant_id": "PLANT", "picked_at": "2025-12-04T09:00:00Z", "stage": "red", "fruits": 2}`},
		{"pickings", `{"plant_id": "PLANT", "picked_at": "2025-12-04T09:00:00Z", "stage": "red", "fruits": 1, "grade": "cull"}`},
		{"losses", `{"plant_id": "PLANT", "lost_at": "2025-12-04T09:00:00Z", "stage": "red", "fruits": 1, "cause": "split"}`},
	} {
		c.add(crop.Kind(r[0]), lab.fill(r[1]))
	}
	at := "/v1/seasons/" + lab.season
	got := decoded[yieldAnswer](t, c.want(200, "GET", at+"/yield?price_per_kg=10&as_of=2025-12-05T12:00:00Z", "").body)
	p := got.Plants[0]
	switch {
	case p.FruitsPicked != 7 || p.MassWeighedG != 40 || p.MassG == nil || *p.MassG != 70 || !p.MassEstimated || p.MassLowG != nil:
		t.Errorf("picked: %+v", p)
	case p.Value == nil || *p.Value != 0.6:
		t.Errorf("value %v, want 0.6: 60 g marketable at 10 a kilogram", p.Value)
	case p.FirstRipe == nil || p.FirstRipe.NotAfterDays != 61 || p.FirstRipe.NotBeforeDays == nil || *p.FirstRipe.NotBeforeDays != 57:
		t.Errorf("first ripe: %+v", p.FirstRipe)
	case p.Final || p.DaysTo50 != nil || p.BBCH == nil || *p.BBCH != 84 || p.Place != "balcony":
		t.Errorf("got final %t, half by %v, BBCH %v", p.Final, p.DaysTo50, p.BBCH)
	}
	if v := got.Season; v.MassG == nil || *v.MassG != 60 || v.MassLowG != nil || v.Value == nil || *v.Value != 0.6 || v.ValueLow != nil {
		t.Errorf("season: %+v, want 60 g worth 0.6, without an interval of one weighing", v)
	}
	if v := got.Cultivars[0]; v.Value == nil || v.Value.Mean != 0.6 || v.MarketableMassG.Mean != 60 {
		t.Errorf("a plant's value: %+v", v.Value)
	}
	if v := got.Cultivars[0]; v.Plants != 1 || v.FruitsPicked.Low != nil || len(v.Weeks) != 1 || v.Weeks[0].Culls != 1 || !strings.Contains(strings.Join(v.Warnings, " "), "of one plant") {
		t.Errorf("cultivar: %+v", got.Cultivars[0])
	}
	w := decoded[wasteAnswer](t, c.want(200, "GET", at+"/waste?as_of=2025-12-05T12:00:00Z", "").body)
	if w.Season.Wasted != 2 || w.Season.Ripened != 8 || w.Share == nil || w.Share.Value != 0.25 || w.Share.Low != nil || len(w.Weeks) != 1 {
		t.Errorf("waste: %+v of %+v", w.Share, w.Season)
	}
	if len(w.Intervals) != 0 || !strings.Contains(strings.Join(w.Warnings, " "), "at least 10 dated losses") {
		t.Errorf("waste: intervals %+v, warnings %q; want none, and why", w.Intervals, w.Warnings)
	}
	for _, query := range []string{"/yield?price_per_kg=-1", "/yield?price_per_kg=x", "/yield?hold_days=3", "/waste?hold_days=0"} {
		c.want(400, "GET", at+query, "")
	}
	c.want(404, "GET", "/v1/seasons/0198b2c4-0000-7000-8000-000000000001/yield", "")
	c.want(404, "GET", "/v1/seasons/0198b2c4-0000-7000-8000-000000000001/waste", "")
}
