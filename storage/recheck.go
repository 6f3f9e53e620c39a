package storage

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"vinetally/analytics/crop"
)

// blame is the change that makes stored records be looked at again.
type blame struct {
	entry   *entry
	pointer string
	told    int
}

// maxTold is how many of the records that an edit would break are told.
const maxTold = 5

// someday is later than any record, so that looking again never finds one to be in the future.
var someday = time.Date(2999, 12, 31, 0, 0, 0, 0, time.UTC)

// recheck looks again at stored records whose plant changed its first day or its places, or whose place its zone: those
// that would be wrong now refuse the edit, and those that are a day alone get the instant of noon in the new zone. That
// is no new version, since what was recorded stays. It reads the state after the batch was written.
func (b *batch) recheck() error {
	plants, places, err := b.affected()
	if err != nil || len(plants)+len(places) == 0 {
		return err
	}
	for _, kind := range []crop.Kind{crop.Visits, crop.Pickings, crop.Losses, crop.Diary} {
		t := tables[kind]
		if err := b.recheckRows(t, "plant_id", sortedIDs(plants), func(r crop.Record) *blame { return plants[plantOf(r)] }); err != nil {
			return err
		}
		if kind == crop.Pickings || kind == crop.Losses {
			if err := b.recheckRows(t, "place_id", sortedIDs(places), func(r crop.Record) *blame { return places[unitPlace(r)] }); err != nil {
				return err
			}
		}
	}
	return b.recheckRows(tables[crop.Plants], "origin_id", sortedIDs(plants), func(r crop.Record) *blame {
		return plants[*r.(*crop.Plant).OriginID]
	})
}

func sortedIDs(m map[crop.ID]*blame) []crop.ID {
	ids := make([]crop.ID, 0, len(m))
	for id := range m {
		ids = append(ids, id)
	}
	slices.SortFunc(ids, crop.ID.Compare)
	return ids
}

// affected returns the plants and places whose records must be looked at again.
func (b *batch) affected() (plants, places map[crop.ID]*blame, err error) {
	plants, places = map[crop.ID]*blame{}, map[crop.ID]*blame{}
	for _, e := range b.changed(crop.Places, func(old, now crop.Record) bool {
		return old.(*crop.Place).TimeZone != now.(*crop.Place).TimeZone
	}) {
		places[e.id] = &blame{entry: e, pointer: "/time_zone"}
	}
	for part := range slices.Chunk(sortedIDs(places), chunk) {
		in := siteAndIDs(b.site, part)
		rows, err := b.q.QueryContext(b.ctx, "SELECT id, place_id FROM plants WHERE site_id = ? AND place_id IN ("+marks(len(part))+
			") UNION SELECT plant_id, place_id FROM plant_moves WHERE site_id = ? AND place_id IN ("+marks(len(part))+")",
			append(slices.Clone(in), in...)...)
		if err != nil {
			return nil, nil, err
		}
		for rows.Next() {
			var plant, place key
			if err := rows.Scan(&plant, &place); err != nil {
				rows.Close()
				return nil, nil, err
			}
			plants[crop.ID(plant)] = places[crop.ID(place)]
		}
		if err := rows.Err(); err != nil {
			return nil, nil, err
		}
	}
	for _, e := range b.order {
		if e.kind != crop.Plants || !e.edited() {
			continue
		}
		if at := changedField(e.stored.record.(*crop.Plant), e.top.record.(*crop.Plant)); at != "" {
			plants[e.id] = &blame{entry: e, pointer: at}
		}
	}
	return plants, places, nil
}

// changedField returns the pointer of the changed field that the plant's records rest on, "" if none changed.
func changedField(old, now *crop.Plant) string {
	day := func(p *crop.Plant) crop.Date {
		if since := p.Since(); since != nil {
			return *since
		}
		return crop.Date{}
	}
	switch {
	case old.SeasonID != now.SeasonID:
		return "/season_id"
	case day(old) != day(now) && now.SownOn == nil:
		return "/transplanted_on"
	case day(old) != day(now):
		return "/sown_on"
	case old.PlaceID != now.PlaceID:
		return "/place_id"
	case !slices.Equal(old.Moves, now.Moves):
		return "/moves"
	}
	return ""
}

func plantOf(r crop.Record) crop.ID {
	for _, l := range links(r) {
		if l.kind == crop.Plants {
			return l.id
		}
	}
	return crop.ID{}
}

func unitPlace(r crop.Record) crop.ID {
	for _, l := range links(r) {
		if l.kind == crop.Places {
			return l.id
		}
	}
	return crop.ID{}
}

// recheckRows looks again at the rows of a table that name one of ids in a column. What the batch wrote was checked with it.
func (b *batch) recheckRows(t *table, column string, ids []crop.ID, blameFor func(crop.Record) *blame) error {
	for part := range slices.Chunk(ids, chunk) {
		rows, err := t.scan(b.ctx, b.q, "SELECT "+t.selected("")+" FROM "+t.name+" WHERE site_id = ? AND "+column+" IN ("+
			marks(len(part))+") ORDER BY "+t.order.column+", id", siteAndIDs(b.site, part)...)
		if err != nil {
			return err
		}
		records, err := recordsOf(rows)
		if err != nil {
			return err
		}
		if err := addMoves(b.ctx, b.q, b.site, records); err != nil {
			return err
		}
		r := newRefs(b.site)
		if err := r.load(b.ctx, b.q, records, crop.Kinds()...); err != nil {
			return err
		}
		if err := b.recheckRecords(t, rows, records, r, blameFor); err != nil {
			return err
		}
	}
	return nil
}

func (b *batch) recheckRecords(t *table, rows []row, records []crop.Record, r *refs, blameFor func(crop.Record) *blame) error {
	var moved []shifted
	for i, rec := range records {
		if e := b.entries[link{t.kind, rec.Identity()}]; e != nil && e.wrote {
			continue
		}
		m := crop.MomentOf(rec)
		var was time.Time
		if m != nil {
			was = m.At
		}
		if broken := crop.Check(rec, r, someday); len(broken) > 0 {
			b.refuseEdit(blameFor(rec), t, t.label(rec), broken)
			continue
		}
		if m == nil || m.At.Equal(was) {
			continue
		}
		again, err := t.toRow(rec)
		if err != nil {
			return err
		}
		*again.base() = *rows[i].base()
		moved = append(moved, shifted{again, millisOf(m.At)})
	}
	return b.shift(t, moved)
}

// shifted is a row whose stand-in for a day alone has moved, and where to.
type shifted struct {
	row
	at millis
}

func (b *batch) shift(t *table, rows []shifted) error {
	var ids []crop.ID
	for _, r := range rows {
		if r.base().Version > 1 {
			ids = append(ids, r.base().id())
		}
	}
	last := map[link]int64{}
	if err := lastDigests(b.ctx, b.q, b.site, t.kind, ids, last); err != nil {
		return err
	}
	for _, r := range rows {
		id := r.base().ID
		digest := b.digests.row(b.site, t.kind, r.row, last[link{t.kind, crop.ID(id)}])
		if b.aside != nil {
			r.base().Digest = digest
			if err := b.aside.edit(b.ctx, t, []crop.ID{crop.ID(id)}, []any{r.row}); err != nil {
				return err
			}
			continue
		}
		_, err := b.q.ExecContext(b.ctx, "UPDATE "+t.name+" SET "+t.order.column+" = ?, digest = ? WHERE site_id = ? AND id = ?",
			int64(r.at), digest, b.site, id)
		if err != nil {
			return err
		}
	}
	return nil
}

func (b *batch) refuseEdit(why *blame, t *table, name string, broken []crop.Fault) {
	why.told++
	switch {
	case why.told <= maxTold:
		parts := make([]string, len(broken))
		for i, f := range broken {
			parts[i] = strings.TrimSpace(f.Pointer + " " + f.Detail)
		}
		b.faults.add(crop.Conflict, why.entry.item, why.pointer, "would make the %s of %s wrong (%s); mend or delete that first",
			t.one, name, strings.Join(parts, "; "))
	case why.told == maxTold+1:
		b.faults.add(crop.Conflict, why.entry.item, why.pointer, "%s", fmt.Sprintf("would make more than %d records wrong; mend or delete them first", maxTold))
	}
}
