package storage

import (
	"fmt"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// uses counts the records that rest on something, by the kind of record.
type uses map[crop.Kind]int

// String is the counts in words, such as "3 plants and 120 counts".
func (u uses) String() string {
	var parts []string
	for _, kind := range crop.Kinds() {
		if u[kind] > 0 {
			parts = append(parts, tables[kind].words(u[kind]))
		}
	}
	return inWords(parts)
}

// refer is the counts as the subject of a sentence, such as "1 plant refers" or "3 plants and 120 counts refer".
func (u uses) refer() string {
	total := 0
	for _, n := range u {
		total += n
	}
	if total == 1 {
		return u.String() + " refers"
	}
	return u.String() + " refer"
}

func inWords(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

// checkInUse refuses edits that would change the meaning of what was counted: the stages of a scale, the scale of a
// cultivar, the scale or season of a plant. What counts is what is stored before the batch.
func (b *batch) checkInUse() error {
	if b.fresh { // what never was is in nobody's use
		return nil
	}
	for _, step := range []func() error{b.checkScales, b.checkCultivars, b.checkPlants} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// changed lists the edited records of a kind that differ in what matters.
func (b *batch) changed(kind crop.Kind, differ func(old, now crop.Record) bool) (found []*entry) {
	for _, e := range b.order {
		if e.kind == kind && e.edited() && differ(e.stored.record, e.top.record) {
			found = append(found, e)
		}
	}
	return found
}

func idsOf(entries []*entry) []crop.ID {
	ids := make([]crop.ID, len(entries))
	for i, e := range entries {
		ids[i] = e.id
	}
	return ids
}

func (b *batch) checkScales() error {
	for _, e := range b.order {
		if e.kind == crop.Scales && shipped(e.id) && e.wrote && !e.exists() {
			b.faults.add(crop.Conflict, e.item, "", "this scale is shipped with the program and can't be deleted; leave it, and give cultivars another if you want none on it")
		}
	}
	entries := b.changed(crop.Scales, func(old, now crop.Record) bool {
		o, n := old.(*crop.Scale), now.(*crop.Scale)
		return o.RipeStage != n.RipeStage || !slices.Equal(o.Names(), n.Names())
	})
	for _, e := range entries {
		if shipped(e.id) {
			b.faults.add(crop.Conflict, e.item, "/stages",
				"can't change, since this scale is shipped with the program and is the same everywhere; make a scale of your own")
			continue
		}
		cultivars, err := b.cultivarsOn(e.id)
		if err != nil {
			return err
		}
		of, err := b.usesOfCultivars(cultivars)
		if err != nil {
			return err
		}
		all := uses{}
		for _, u := range of {
			for kind, n := range u {
				all[kind] += n
			}
		}
		if len(all) > 0 {
			b.faults.add(crop.Conflict, e.item, "/stages",
				"can't change, since they carry %s; make a new scale", all)
		}
	}
	return nil
}

func shipped(scale crop.ID) bool {
	return scale == crop.DefaultScaleID || scale == crop.ColourClassScaleID
}

// cultivarsOn lists the cultivars that have a scale, as they are before the batch.
func (b *batch) cultivarsOn(scale crop.ID) (ids []crop.ID, err error) {
	rows, err := b.q.QueryContext(b.ctx, "SELECT id FROM cultivars WHERE site_id = ? AND scale_id = ?", b.site, key(scale))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var id key
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		ids = append(ids, crop.ID(id))
	}
	return ids, rows.Err()
}

func (b *batch) checkCultivars() error {
	entries := b.changed(crop.Cultivars, func(old, now crop.Record) bool {
		return old.(*crop.Cultivar).Scale() != now.(*crop.Cultivar).Scale()
	})
	of, err := b.usesOfCultivars(idsOf(entries))
	if err != nil {
		return err
	}
	for _, e := range entries {
		if u := of[e.id]; len(u) > 0 {
			b.faults.add(crop.Conflict, e.item, "/scale_id",
				"can't change, since the cultivar's scale carries %s; make a new cultivar", u)
		}
	}
	return nil
}

func (b *batch) checkPlants() error {
	movedSeason := func(old, now crop.Record) bool { return old.(*crop.Plant).SeasonID != now.(*crop.Plant).SeasonID }
	movedScale := func(old, now crop.Record) bool {
		return b.scaleBefore(old.(*crop.Plant).CultivarID) != b.scaleAfter(now.(*crop.Plant).CultivarID)
	}
	entries := b.changed(crop.Plants, func(old, now crop.Record) bool { return movedSeason(old, now) || movedScale(old, now) })
	of, err := b.usesOfPlants(idsOf(entries))
	if err != nil {
		return err
	}
	for _, e := range entries {
		u := of[e.id]
		if len(u) > 0 && movedSeason(e.stored.record, e.top.record) {
			b.faults.add(crop.Conflict, e.item, "/season_id", "can't change, since the plant has %s, which belong to its season; make a new plant in the other season", u)
		}
		delete(u, crop.Diary)
		if len(u) > 0 && movedScale(e.stored.record, e.top.record) {
			b.faults.add(crop.Conflict, e.item, "/cultivar_id",
				"can't change to a cultivar of another scale, since the plant has %s on this one; make a new plant, or give both cultivars one scale", u)
		}
	}
	return nil
}

// scaleBefore and scaleAfter return the scale of a cultivar as stored and as it is after the batch.
func (b *batch) scaleBefore(cultivar crop.ID) crop.ID {
	if e := b.entries[link{crop.Cultivars, cultivar}]; e != nil && e.stored != nil {
		return e.stored.record.(*crop.Cultivar).Scale()
	}
	return b.scaleAfter(cultivar)
}

func (b *batch) scaleAfter(cultivar crop.ID) crop.ID {
	if v, ok := b.refs.Cultivar(cultivar); ok {
		return v.Scale()
	}
	return crop.ID{}
}

// usesOfPlants counts what was recorded of each plant.
func (b *batch) usesOfPlants(ids []crop.ID) (map[crop.ID]uses, error) {
	all := map[crop.ID]uses{}
	for _, kind := range []crop.Kind{crop.Visits, crop.Pickings, crop.Losses, crop.Diary} {
		err := b.tally(all, kind, fmt.Sprintf("SELECT plant_id, count(*) FROM %s WHERE site_id = ? AND plant_id IN (%%s) GROUP BY plant_id",
			tables[kind].name), ids)
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}

// usesOfCultivars counts the counts, pickings and losses of each cultivar's plants and units.
func (b *batch) usesOfCultivars(ids []crop.ID) (map[crop.ID]uses, error) {
	all := map[crop.ID]uses{}
	for _, kind := range []crop.Kind{crop.Visits, crop.Pickings, crop.Losses} {
		err := b.tally(all, kind, fmt.Sprintf("SELECT p.cultivar_id, count(*) FROM plants p JOIN %s e ON e.site_id = p.site_id"+
			" AND e.plant_id = p.id WHERE p.site_id = ? AND p.cultivar_id IN (%%s) GROUP BY p.cultivar_id", tables[kind].name), ids)
		if err != nil {
			return nil, err
		}
		if kind == crop.Visits {
			continue
		}
		err = b.tally(all, kind, fmt.Sprintf("SELECT cultivar_id, count(*) FROM %s WHERE site_id = ? AND cultivar_id IN (%%s)"+
			" GROUP BY cultivar_id", tables[kind].name), ids)
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}

// tally runs a query of ids and numbers, with a place for the list of ids, and adds the numbers up under a kind.
func (b *batch) tally(all map[crop.ID]uses, kind crop.Kind, query string, ids []crop.ID) error {
	for part := range slices.Chunk(ids, chunk) {
		err := b.each(fmt.Sprintf(query, marks(len(part))), siteAndIDs(b.site, part), func(id crop.ID, n int) {
			if all[id] == nil {
				all[id] = uses{}
			}
			all[id][kind] += n
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// each calls f with every row of a query of ids and numbers.
func (b *batch) each(query string, args []any, f func(id crop.ID, n int)) error {
	rows, err := b.q.QueryContext(b.ctx, query, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var id key
		var n int
		if err := rows.Scan(&id, &n); err != nil {
			return err
		}
		f(crop.ID(id), n)
	}
	return rows.Err()
}
