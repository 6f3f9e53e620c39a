package api

import (
	"fmt"
	"math/rand/v2"
	"net/url"
	"testing"

	"vinetally/analytics/crop"
)

// TestCursorsWhileRowsChange reads a list page by page while rows are added, changed, moved in time and deleted between the
// pages. Whatever stayed as it was from the first page to the last comes exactly once; nothing comes twice; and what comes
// is in the list's order.
func TestCursorsWhileRowsChange(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 4))
	rounds := 30
	if testing.Short() {
		rounds = 5
	}
	c := testClient(t)
	lab := newTrial(c)
	at := func() string { return fmt.Sprintf("2026-01-%02dT%02d:00:00Z", 1+rng.IntN(20), rng.IntN(24)) } // many share a time
	n := 0
	add := func() string {
		n++
		return c.add(crop.Visits, lab.fill(fmt.Sprintf(`{"plant_id": "PLANT", "counted_at": %q, "about": true, "counts": {"green": %d}}`, at(), n)))
	}
	rows := map[string]bool{}
	for range 60 {
		rows[add()] = true
	}
	some := func() string { // the map's own order must not decide, or a failure wouldn't repeat
		all := make([]string, 0, len(rows))
		for id := range rows {
			all = append(all, id)
		}
		least := all[0]
		want := rng.Uint64()
		for _, id := range all {
			if hash(id)^want < hash(least)^want {
				least = id
			}
		}
		return least
	}
	for round := range rounds {
		touched := map[string]bool{}
		seen := map[string]int{}
		last, cursor := "", ""
		for pages := 0; ; pages++ {
			r := c.want(200, "GET", fmt.Sprintf("/v1/counts?plant_id=%s&limit=%d%s", lab.plant, 1+rng.IntN(15), cursor), "")
			for _, item := range r.items(t) {
				row := item.(map[string]any)
				id := row["id"].(string)
				seen[id]++
				if key := row["counted_at"].(string) + id; key < last {
					t.Fatalf("round %d: %s comes after %s", round, key, last)
				} else {
					last = key
				}
			}
			next, _ := r.object(t)["next"].(string)
			if next == "" {
				break
			}
			if pages > 1000 {
				t.Fatalf("round %d: the list doesn't end", round)
			}
			cursor = "&cursor=" + url.QueryEscape(next)
			for range rng.IntN(3) {
				id := some()
				switch rng.IntN(3) {
				case 0:
					id = add()
					rows[id] = true
				case 1:
					c.want(204, "DELETE", "/v1/counts/"+id, "")
					delete(rows, id)
				case 2:
					n++
					c.want(200, "PUT", "/v1/counts/"+id, lab.fill(fmt.Sprintf(`{"plant_id": "PLANT", "counted_at": %q, "about": true, "counts": {"green": %d}}`, at(), n)))
				}
				touched[id] = true
			}
		}
		for id, times := range seen {
			if times > 1 && !touched[id] {
				t.Errorf("round %d: %s came %d times", round, id, times)
			}
		}
		for id := range rows {
			if !touched[id] && seen[id] != 1 {
				t.Errorf("round %d: %s was there all the while and came %d times", round, id, seen[id])
			}
		}
	}
}

func hash(s string) (h uint64) {
	for _, b := range []byte(s) {
		h = (h ^ uint64(b)) * 1099511628211
	}
	return h
}

// TestSpans: of a list from one day to another a day is that of the place, and an instant an instant.
func TestSpans(t *testing.T) {
	c := testClient(t)
	place := c.add(crop.Places, `{"name": "shade house", "time_zone": "Pacific/Auckland"}`)
	lab := newTrial(c)
	lab.place = place
	plant := c.add(crop.Plants, lab.fill(`{"season_id": "SEASON", "place_id": "PLACE", "cultivar_id": "CULTIVAR", "label": "N1", "sown_on": "2025-10-01"}`))
	for _, at := range []string{"2026-02-03T00:00:00+13:00", "2026-02-03", "2026-02-03T23:59:59+13:00"} {
		c.add(crop.Visits, fmt.Sprintf(`{"plant_id": %q, "counted_at": %q, "counts": {"red": 1}}`, plant, at))
	}
	for _, tc := range []struct {
		query string
		want  int
	}{
		{"from=2026-02-03&to=2026-02-03", 3},
		{"from=2026-02-04", 0},
		{"to=2026-02-02", 0},
		{"from=2026-02-03T00:00:00%2B13:00&to=2026-02-03", 3},
		{"from=2026-02-02T11:00:01Z", 2},
		{"to=2026-02-02T11:00:00Z", 1},
		{"from=2026-02-03&place_id=" + place, 3},
		{"from=2026-02-03&limit=1", 1},
	} {
		if n := len(c.want(200, "GET", "/v1/counts?plant_id="+plant+"&"+tc.query, "").items(t)); n != tc.want {
			t.Errorf("%s: %d counts, want %d", tc.query, n, tc.want)
		}
	}
}
