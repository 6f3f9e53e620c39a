package api

import (
	"fmt"
	"testing"

	"vinetally/analytics/crop"
)

// TestListOrder: a list is sorted by the field that its description names.
func TestListOrder(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	bodies := map[crop.Kind][2]string{ // the field as %s; two values, the later one first
		crop.Seasons: {`{"name": "%s"}`, "name"}, crop.Places: {`{"name": "%s"}`, "name"}, crop.Cultivars: {`{"name": "%s"}`, "name"},
		crop.Scales:       {`{"name": "%s", "stages": ["a", "b"], "ripe_stage": "b"}`, "name"},
		crop.Plants:       {`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "sown_on": "2025-10-01", "label": "%s"}`, "name"},
		crop.Visits:       {`{"plant_id": "PLANT", "counts": {"red": 1}, "counted_at": "%s"}`, "time"},
		crop.Pickings:     {`{"plant_id": "PLANT", "fruits": 1, "picked_at": "%s"}`, "time"},
		crop.Losses:       {`{"plant_id": "PLANT", "stage": "red", "fruits": 1, "cause": "split", "lost_at": "%s"}`, "time"},
		crop.Diary:        {`{"season_id": "SEASON", "kind": "note", "noted_at": "%s"}`, "time"},
		crop.Temperatures: {`{"place_id": "PLACE", "air_c": 20, "measured_at": "%s"}`, "time"},
		crop.Germinations: {`{"season_id": "SEASON", "cultivar_id": "CULTIVAR", "lot": "x", "sown_on": "2025-10-01", "seeds": 9, "emerged": 1, "counted_on": "%s"}`, "day"},
	}
	values := map[string][2]string{"name": {"zz last", "aa first"}, "time": {"2026-02-03T08:00:00Z", "2026-02-01T08:00:00Z"}, "day": {"2026-02-03", "2026-02-01"}}
	for _, kind := range crop.Kinds() {
		body := bodies[kind]
		var ids [2]string
		for i, value := range values[body[1]] {
			ids[i] = c.add(kind, lab.fill(fmt.Sprintf(body[0], value)))
		}
		at := map[any]int{}
		for i, item := range c.want(200, "GET", "/v1/"+string(kind), "").items(t) {
			record := item.(map[string]any)
			if record[sortedBy(kind)] == nil {
				t.Errorf("%s have no field %q", kind, sortedBy(kind))
			}
			at[record["id"]] = i
		}
		if at[ids[0]] <= at[ids[1]] {
			t.Errorf("%s: positions %v, want them by %s, in which the one added first is the later", kind, at, sortedBy(kind))
		}
	}
}
