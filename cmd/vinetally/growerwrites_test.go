package main

import (
	"fmt"
	"maps"
	"time"
)

// fresh is a new record of a kind on one of the plants, with contents that no other has.
func (g *grower) fresh(kind string, plant *told) step {
	g.n++
	r := &told{kind: kind, id: g.newID()}
	at := time.Date(2025, 3, 1, 8, g.n, 0, 0, time.UTC).Format(time.RFC3339)
	b := body{"id": r.id, "note": fmt.Sprintf("%s, number %d, “%x”", g.name, g.n, g.rng.Uint64())}
	if kind == "plants" {
		b["season_id"], b["place_id"], b["cultivar_id"] = seasonID, placeID, cultivarID
		b["label"], b["sown_on"] = fmt.Sprintf("%s-%d", g.name, g.n), "2025-01-01"
		return step{r, b}
	}
	b["plant_id"] = plant.id
	switch kind {
	case "counts":
		b["counted_at"], b["counts"] = at, body{"green": float64(g.rng.IntN(40)), "red": float64(g.rng.IntN(9))}
	case "pickings":
		b["picked_at"], b["stage"], b["fruits"], b["mass_g"] = at, "red", float64(1+g.rng.IntN(5)), float64(g.rng.IntN(900))/10
	case "losses":
		b["lost_at"], b["stage"], b["fruits"], b["cause"] = at, "red", float64(1+g.rng.IntN(3)), "split"
	case "diary":
		b["noted_at"], b["kind"], b["season_id"] = at, "pruned", seasonID
	}
	return step{r, b}
}

// some picks a record that is there, of the kind if one is named; nil if there is none.
func (g *grower) some(kind string, taken map[*told]bool) *told {
	for range 20 {
		if len(g.order) == 0 {
			return nil
		}
		r := g.order[g.rng.IntN(len(g.order))]
		if r.current() != nil && !taken[r] && (kind == "" || r.kind == kind) {
			return r
		}
	}
	return nil
}

// contents is a version without what only answers have.
func contents(version body) body {
	b := maps.Clone(version)
	for _, own := range []string{"version", "recorded_at", "recorded_by", "time_known"} {
		delete(b, own)
	}
	return b
}

// edited is the record with another note.
func (g *grower) edited(r *told) step {
	g.n++
	b := contents(r.current())
	b["note"] = fmt.Sprintf("%s, edited, number %d, “%x”", g.name, g.n, g.rng.Uint64())
	return step{r, b}
}

var eventKinds = []string{"counts", "counts", "counts", "pickings", "losses", "diary"}

func (g *grower) add() *request {
	plant := g.some("plants", nil)
	var s step
	if plant == nil || g.rng.IntN(25) == 0 {
		s = g.fresh("plants", nil)
	} else {
		s = g.fresh(eventKinds[g.rng.IntN(len(eventKinds))], plant)
	}
	r := &request{method: "POST", path: "/v1/" + s.record.kind, text: encoded(s.to), steps: []step{s}}
	if g.rng.IntN(2) == 0 {
		r.method, r.path = "PUT", r.path+"/"+s.record.id
	}
	return r
}

// edit changes, deletes or restores a record.
func (g *grower) edit() *request {
	r := g.some("", nil)
	if r == nil {
		return g.add()
	}
	path, match := "/v1/"+r.kind+"/"+r.id, fmt.Sprintf("%q", fmt.Sprint(len(r.versions)))
	switch what := g.rng.IntN(10); {
	case what < 3 && r.kind != "plants": // others refer to plants
		return &request{method: "DELETE", path: path, match: match, steps: []step{{r, nil}}}
	case what < 4 && len(r.versions) > 1 && r.versions[0]["note"] != r.current()["note"]:
		return &request{method: "POST", path: path + "/restore", match: match, text: encoded(body{"version": 1}), steps: []step{{r, contents(r.versions[0])}}}
	case what < 7:
		s := g.edited(r)
		s.to["base_version"] = len(r.versions)
		text := encoded(s.to)
		delete(s.to, "base_version")
		return &request{method: "PUT", path: path, text: text, steps: []step{s}}
	}
	s := g.edited(r)
	return &request{method: "PUT", path: path, match: match, text: encoded(s.to), steps: []step{s}}
}

// batch is a sync of new records, edits and deletions, sometimes of a new plant and what was seen on it.
func (g *grower) batch() *request {
	var items []any
	r := &request{method: "POST", path: "/v1/sync"}
	plant := g.some("plants", nil)
	if plant == nil || g.rng.IntN(3) == 0 {
		s := g.fresh("plants", nil)
		plant = s.record
		r.steps = append(r.steps, s)
		items = append(items, body{"kind": "plants", "base_version": 0, "record": s.to})
	}
	taken := map[*told]bool{plant: true}
	for range 2 + g.rng.IntN(60) {
		old := g.some("", taken)
		what := g.rng.IntN(8)
		var s step
		switch {
		case what == 0 && old != nil:
			s = g.edited(old)
			items = append(items, body{"kind": s.record.kind, "base_version": len(old.versions), "record": s.to})
		case what == 1 && old != nil && old.kind != "plants":
			s = step{old, nil}
			items = append(items, body{"kind": old.kind, "id": old.id, "base_version": len(old.versions), "delete": true})
		default:
			s = g.fresh(eventKinds[g.rng.IntN(len(eventKinds))], plant)
			items = append(items, body{"kind": s.record.kind, "record": s.to})
		}
		taken[s.record] = true
		r.steps = append(r.steps, s)
	}
	g.rng.Shuffle(len(items), func(i, j int) { items[i], items[j] = items[j], items[i] })
	r.text = encoded(body{"items": items})
	return r
}

// mix is how many of a hundred requests are edits and batches; the others add a record.
type mix struct{ edits, batches int }

func (m mix) next(g *grower) *request {
	switch n := g.rng.IntN(100); {
	case n < m.edits:
		return g.edit()
	case n < m.edits+m.batches:
		return g.batch()
	}
	return g.add()
}
