package storage

import (
	"fmt"
	"slices"

	"vinetally/analytics/crop"
)

// reference is a column that names a record of another kind.
type reference struct {
	table  string // that has the column
	column string
	from   crop.Kind // the kind of the records in that table
}

// referrers lists who may refer to a kind.
var referrers = map[crop.Kind][]reference{
	crop.Seasons: {
		{"plants", "season_id", crop.Plants}, {"pickings", "season_id", crop.Pickings}, {"losses", "season_id", crop.Losses},
		{"diary", "season_id", crop.Diary}, {"germination", "season_id", crop.Germinations},
	},
	crop.Places: {
		{"plants", "place_id", crop.Plants}, {"pickings", "place_id", crop.Pickings}, {"losses", "place_id", crop.Losses},
		{"temperatures", "place_id", crop.Temperatures},
	},
	crop.Scales: {{"cultivars", "scale_id", crop.Cultivars}},
	crop.Cultivars: {
		{"plants", "cultivar_id", crop.Plants}, {"pickings", "cultivar_id", crop.Pickings}, {"losses", "cultivar_id", crop.Losses},
		{"germination", "cultivar_id", crop.Germinations},
	},
	crop.Plants: {
		{"plants", "origin_id", crop.Plants}, {"visits", "plant_id", crop.Visits}, {"pickings", "plant_id", crop.Pickings},
		{"losses", "plant_id", crop.Losses}, {"diary", "plant_id", crop.Diary},
	},
}

// checkReferrers refuses the deletion of what others refer to after the batch.
func (b *batch) checkReferrers() error {
	gone := map[crop.Kind][]*entry{}
	for _, e := range b.order {
		if e.wrote && !e.exists() && len(referrers[e.kind]) > 0 {
			gone[e.kind] = append(gone[e.kind], e)
		}
	}
	for kind, entries := range gone {
		ids := idsOf(entries)
		all := map[crop.ID]uses{}
		for _, r := range referrers[kind] {
			err := b.tally(all, r.from, fmt.Sprintf("SELECT %[1]s, count(*) FROM %[2]s WHERE site_id = ? AND %[1]s IN (%%s) GROUP BY %[1]s",
				r.column, r.table), ids)
			if err != nil {
				return err
			}
		}
		moves := map[crop.ID]uses{}
		if kind == crop.Places {
			// A plant that also started there was counted already.
			err := b.tally(moves, crop.Plants, `SELECT m.place_id, count(DISTINCT p.id) FROM plant_moves m JOIN plants p
				ON p.site_id = m.site_id AND p.id = m.plant_id AND p.place_id <> m.place_id
				WHERE m.site_id = ? AND m.place_id IN (%s) GROUP BY m.place_id`, ids)
			if err != nil {
				return err
			}
		}
		for _, e := range entries {
			u := all[e.id]
			for kind, n := range moves[e.id] {
				if u == nil {
					u = uses{}
				}
				u[kind] += n
			}
			if len(u) > 0 {
				b.faults.add(crop.Conflict, e.item, "", "%s to this %s; delete or change what does first", u.refer(), tables[e.kind].one)
			}
		}
	}
	return nil
}

// checkOrigins refuses a plant that comes from itself through others.
func (b *batch) checkOrigins() error {
	var entries []*entry
	for _, e := range b.order {
		if e.kind == crop.Plants && e.wrote && e.exists() && e.top.record.(*crop.Plant).OriginID != nil {
			entries = append(entries, e)
		}
	}
	for part := range slices.Chunk(entries, chunk) {
		// UNION drops what was met before, so a circle ends the walk.
		query := `WITH RECURSIVE up (start, id) AS (
			SELECT id, origin_id FROM plants WHERE site_id = ? AND id IN (` + marks(len(part)) + `)
			UNION SELECT up.start, p.origin_id FROM up JOIN plants p ON p.site_id = ? AND p.id = up.id WHERE p.origin_id IS NOT NULL
			) SELECT start, count(*) FROM up WHERE id = start GROUP BY start`
		err := b.each(query, append(siteAndIDs(b.site, idsOf(part)), b.site), func(id crop.ID, _ int) {
			b.faults.add(crop.Conflict, b.entries[link{crop.Plants, id}].item, "/origin_id",
				"leads back to the plant itself through others; name the plant it was separated from")
		})
		if err != nil {
			return err
		}
	}
	return nil
}
