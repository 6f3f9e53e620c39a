package crop_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestRestsOn leaves one field out of a good record at a time: a fault at another field is owed to it, and so must be told to
// rest on it.
func TestRestsOn(t *testing.T) {
	seen := 0
	for _, c := range []struct {
		kind crop.Kind
		body string
	}{
		{"seasons", `"name":"x","first_day":"2026-05-01","last_day":"2026-05-02"`},
		{"places", `"name":"x","time_zone":"Europe/Lisbon"`},
		{"scales", `"name":"x","stages":[{"name":"a"},{"name":"b"}],"ripe_stage":"b"`},
		{"cultivars", `"name":"x","scale_id":"SCALE","hold_days":3`},
		{"plants", `PLANT,"sown_on":"2026-02-03","transplanted_on":"2026-02-20","removed_on":"2026-03-01","origin_id":"A1","moves":[{"place_id":"PLACE","on":"2026-02-10"}]`},
		{"plants", `PLANT,"transplanted_on":"2026-02-20","origin_id":"A1"`},
		{"plants", `PLANT,"sown_on":"2026-02-20"`},
		{"counts", `"plant_id":"A1","counted_at":"2026-02-03","counts":{"green":1,"breaker":0,"turning":0,"red":2},"total":3,"trusses_counted":2,"trusses_total":3`},
		{"counts", `"plant_id":"A1","counted_at":"2026-02-03","counts":{"green":1,"breaker":0,"turning":0,"red":2},"total":9,"at_least":true`},
		{"counts", `"plant_id":"A1","counted_at":"2026-02-03","counts":{"red":2},"truss":1`},
		{"counts", `"plant_id":"A1","counted_at":"2026-02-03","total":2`},
		{"pickings", `"plant_id":"A1","picked_at":"2026-02-03","stage":"red","fruits":3`},
		{"pickings", `"plant_id":"A1","picked_at":"2026-02-03","stage":"red","mass_g":30`},
		{"pickings", `"season_id":"SEASON","place_id":"PLACE","cultivar_id":"ORANGE","picked_at":"2026-02-03","stage":"orange","fruits":1,"mass_g":30`},
		{"losses", `"plant_id":"A1","lost_at":"2026-02-03","stage":"red","fruits":3,"cause":"split"`},
		{"losses", `"season_id":"SEASON","place_id":"PLACE","cultivar_id":"ORANGE","lost_at":"2026-02-03","stage":"orange","fruits":3,"cause":"split"`},
		{"diary", `"season_id":"SEASON","plant_id":"A1","noted_at":"2026-02-03","kind":"treated","pick_not_before":"2026-02-05"`},
		{"temperatures", `"place_id":"PLACE","measured_at":"2026-02-03T08:00:00Z","air_c":3`},
		{"germination", `"season_id":"SEASON","cultivar_id":"PLAIN","lot":"L1","sown_on":"2026-02-03","seeds":5,"emerged":3,"counted_on":"2026-02-09"`},
	} {
		body := ids.Replace(strings.ReplaceAll(`{"id":"ID",`+c.body+`}`, "PLANT", `"label":"B1","season_id":"SEASON","place_id":"PLACE","cultivar_id":"PLAIN"`))
		var whole map[string]json.RawMessage
		if err := json.Unmarshal([]byte(body), &whole); err != nil {
			t.Fatalf("%s: %v", body, err)
		}
		check := func(fields map[string]json.RawMessage) []crop.Fault {
			r := crop.New(c.kind)
			text, err := json.Marshal(fields)
			if err == nil {
				err = json.Unmarshal(text, r)
			}
			if err != nil {
				t.Fatal(err)
			}
			return crop.Check(r, site(t), now)
		}
		if faults := check(whole); len(faults) > 0 {
			t.Fatalf("%s: the good record is refused: %+v", body, faults)
		}
		for left := range whole {
			part := map[string]json.RawMessage{}
			for name, value := range whole {
				if name != left {
					part[name] = value
				}
			}
			for _, f := range check(part) {
				at, _, _ := strings.Cut(strings.TrimPrefix(f.Pointer, "/"), "/")
				if at == left {
					continue
				}
				seen++
				if !slices.Contains(crop.RestsOn(c.kind, at), left) {
					t.Errorf("%s without %s: %s %s, but it isn't said to rest on it", c.kind, left, f.Pointer, f.Detail)
				}
			}
		}
	}
	if seen < 8 {
		t.Errorf("only %d faults were owed to another field, so this says little", seen)
	}
}
