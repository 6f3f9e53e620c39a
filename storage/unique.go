package storage

import (
	"fmt"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// uniqueKey is what no two records of a kind share, in the order of the table's unique columns.
func uniqueKey(rec crop.Record) (values [2]any) {
	switch r := rec.(type) {
	case *crop.Season:
		return [2]any{r.Name}
	case *crop.Place:
		return [2]any{r.Name}
	case *crop.Scale:
		return [2]any{r.Name}
	case *crop.Cultivar:
		return [2]any{r.Name}
	case *crop.Plant:
		return [2]any{key(r.SeasonID), r.Label}
	case *crop.Temperature:
		return [2]any{key(r.PlaceID), int64(millisOf(r.MeasuredAt))}
	}
	return values
}

// checkUnique refuses names, plant labels and reading times that another record has, be it stored or in the batch.
func (b *batch) checkUnique() error {
	taken := map[crop.Kind]map[[2]any]*entry{}
	var order []crop.Kind
	for _, e := range b.order {
		if len(tables[e.kind].unique) == 0 || !e.wrote || !e.exists() {
			continue
		}
		if taken[e.kind] == nil {
			taken[e.kind] = map[[2]any]*entry{}
			order = append(order, e.kind)
		}
		k := uniqueKey(e.top.record)
		if other := taken[e.kind][k]; other != nil {
			b.taken(e, other.id)
			continue
		}
		taken[e.kind][k] = e
	}
	for _, kind := range order {
		if err := b.checkHolders(tables[kind], taken[kind]); err != nil {
			return err
		}
	}
	return nil
}

// checkHolders looks up who has the wanted keys now. A holder that this batch gives another key, or deletes, makes way.
func (b *batch) checkHolders(t *table, wanted map[[2]any]*entry) error {
	var keys [][2]any
	for k, e := range wanted {
		if e.stored != nil {
			if uniqueKey(e.stored.record) == k {
				continue
			}
		}
		keys = append(keys, k)
	}
	n := len(t.unique)
	on := make([]string, n)
	for i, column := range t.unique {
		on[i] = fmt.Sprintf("t.%s = w.column%d", column, i+1)
	}
	for part := range slices.Chunk(keys, chunk) {
		values := strings.TrimSuffix(strings.Repeat("("+marks(n)+"),", len(part)), ",")
		args := make([]any, 0, n*len(part)+1)
		for _, k := range part {
			args = append(args, k[:n]...)
		}
		// CROSS JOIN keeps the order of the join: from each wanted key into the unique index.
		rows, err := t.scan(b.ctx, b.q, "SELECT "+t.selected("t.")+" FROM (VALUES "+values+") AS w CROSS JOIN "+t.name+
			" AS t ON t.site_id = ? AND "+strings.Join(on, " AND "), append(args, b.site)...)
		if err != nil {
			return err
		}
		for _, r := range rows {
			holder, err := r.record()
			if err != nil {
				return err
			}
			k := uniqueKey(holder)
			e := wanted[k]
			other := b.entries[link{t.kind, holder.Identity()}]
			switch {
			case other == nil || !other.wrote:
				b.taken(e, holder.Identity())
			case other.exists():
				other.first = true
			}
		}
	}
	return nil
}

// taken reports that e wants what the record with the other id has.
func (b *batch) taken(e *entry, other crop.ID) {
	switch r := e.top.record.(type) {
	case *crop.Plant:
		b.faults.add(crop.Conflict, e.item, "/label", "is %q, which is the label of another plant of the season (%s); choose another", r.Label, other)
	case *crop.Temperature:
		b.faults.add(crop.Conflict, e.item, "/measured_at", "is %s, which is the time of another reading at this place (%s); replace that one instead",
			crop.InstantMoment(r.MeasuredAt), other)
	default:
		t := tables[e.kind]
		b.faults.add(crop.Conflict, e.item, "/name", "is %q, which is the name of another %s (%s); choose another", t.label(r), t.one, other)
	}
}
