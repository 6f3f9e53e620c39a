package api

import (
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestBeforeItWasSown: looking back to before a plant was sown, it isn't there, and asking for it says since when it was.
func TestBeforeItWasSown(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c) // A1, sown on 2025-10-01
	late := c.add(crop.Plants, lab.fill(`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "Latecomer", "sown_on": "2026-01-15"}`))
	for _, plant := range []string{lab.plant, late} {
		c.add(crop.Visits, `{"plant_id": "`+plant+`", "counted_at": "2026-02-03T08:15:00Z", "counts": {"green": 4, "breaker": 0, "turning": 0, "red": 1}}`)
	}
	const before, after = "?as_of=2026-01-14T23:59:59Z", "?as_of=2026-02-03T08:15:00Z"
	for _, path := range []string{"/v1/plants/" + late + "/ledger", "/reports/plants/" + late} {
		c.want(200, "GET", path+after, "")
		r := c.want(404, "GET", path+before, "")
		for _, says := range []string{"Latecomer", "sown on 2026-01-15", "2026-01-14T23:59:59Z", "look back from a later moment"} {
			if !strings.Contains(r.body, says) {
				t.Errorf("%s: %s doesn't say %q", path, r.body, says)
			}
		}
	}
	for _, path := range []string{"/v1/seasons/" + lab.season + "/past-ripe", "/reports/seasons/" + lab.season} {
		if r := c.want(200, "GET", path+after, ""); !strings.Contains(r.body, "Latecomer") {
			t.Errorf("%s: the plant that was sown before isn't there", path)
		}
		if r := c.want(200, "GET", path+before, ""); strings.Contains(r.body, "Latecomer") || !strings.Contains(r.body, "A1") {
			t.Errorf("%s: a plant is there that wasn't sown yet, or another is missing", path)
		}
		c.want(200, "GET", path+"?as_of=2025-09-01T00:00:00Z", "") // nothing was there
	}
	c.want(200, "GET", "/v1/seasons/"+lab.season+"/curves?as_of=2025-09-01T00:00:00Z", "")
}
