package storage

import (
	"context"
	"maps"
	"slices"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// refs answers what records refer to: what was loaded, under what a batch is about to change. It makes no query of its
// own, so what is to be asked for must be loaded first.
type refs struct {
	site  int64
	known map[link]crop.Record // nil for what was looked for and isn't there
	// standing is what earlier batches loaded, if it still holds; nil for none.
	standing *standing
	// past holds the last contents of what was deleted, see withPast.
	past map[link]crop.Record
}

func newRefs(site int64) *refs {
	return &refs{site: site, known: map[link]crop.Record{}, past: map[link]crop.Record{}}
}

// set makes rec what its id stands for.
func (r *refs) set(rec crop.Record) { r.known[link{rec.RecordKind(), rec.Identity()}] = rec }

// load fetches what the records refer to, and what that refers to in turn, of the kinds asked for. An origin is followed
// one step only. It takes a fixed number of rounds, each of one query for every kind and chunk of ids.
func (r *refs) load(ctx context.Context, q gorm.ConnPool, records []crop.Record, kinds ...crop.Kind) error {
	for round := 0; len(records) > 0; round++ {
		var wanted map[crop.Kind][]crop.ID
		var next []crop.Record
		for _, rec := range records {
			for _, l := range links(rec) {
				if !slices.Contains(kinds, l.kind) || round > 0 && l.kind == rec.RecordKind() {
					continue
				}
				if _, ok := r.known[l]; ok {
					continue
				}
				stands := r.standing.get(l)
				r.known[l] = stands
				if stands != nil {
					next = append(next, stands)
					continue
				}
				if wanted == nil {
					wanted = map[crop.Kind][]crop.ID{}
				}
				wanted[l.kind] = append(wanted[l.kind], l.id)
			}
		}
		records = next
		for _, kind := range crop.Kinds() {
			if len(wanted[kind]) == 0 {
				continue
			}
			found, err := fetchRecords(ctx, q, r.site, tables[kind], wanted[kind])
			if err != nil {
				return err
			}
			for _, rec := range found {
				r.set(rec)
				r.standing.keep(rec)
			}
			records = append(records, found...)
		}
	}
	return nil
}

// loadPast fetches the last contents of everything that was looked for, isn't there, and once was.
func (r *refs) loadPast(ctx context.Context, q gorm.ConnPool) error {
	wanted := map[crop.Kind][]crop.ID{}
	for l, rec := range r.known {
		if rec == nil {
			wanted[l.kind] = append(wanted[l.kind], l.id)
		}
	}
	for _, kind := range crop.Kinds() {
		versions, err := fetchHistory(ctx, q, r.site, kind, wanted[kind])
		if err != nil {
			return err
		}
		for _, v := range versions { // oldest first, so the last stays
			r.past[link{kind, v.Record.Identity()}] = v.Record
		}
	}
	return nil
}

func lookUp[T any](found map[link]crop.Record, kind crop.Kind, id crop.ID) (*T, bool) {
	rec, ok := any(found[link{kind, id}]).(*T)
	return rec, ok
}

// Season, Place, Scale, Cultivar and Plant make refs a crop.Refs.
func (r *refs) Season(id crop.ID) (*crop.Season, bool) {
	return lookUp[crop.Season](r.known, crop.Seasons, id)
}

func (r *refs) Place(id crop.ID) (*crop.Place, bool) {
	return lookUp[crop.Place](r.known, crop.Places, id)
}

func (r *refs) Scale(id crop.ID) (*crop.Scale, bool) {
	return lookUp[crop.Scale](r.known, crop.Scales, id)
}

func (r *refs) Cultivar(id crop.ID) (*crop.Cultivar, bool) {
	return lookUp[crop.Cultivar](r.known, crop.Cultivars, id)
}

func (r *refs) Plant(id crop.ID) (*crop.Plant, bool) {
	return lookUp[crop.Plant](r.known, crop.Plants, id)
}

// withPast is refs that also know what was deleted.
func (r *refs) withPast() *refs {
	all := maps.Clone(r.past)
	for l, rec := range r.known {
		if rec != nil {
			all[l] = rec
		}
	}
	return &refs{site: r.site, known: all}
}

// placeIn gives the record's moment the zone of the place where its plant stood.
func placeIn(rec crop.Record, r crop.Refs) {
	ofPlant := func(m crop.Moment, plant, place *crop.ID) crop.Moment {
		if plant != nil {
			if p, ok := r.Plant(*plant); ok {
				return m.In(crop.LocationAt(p, m, r))
			}
		}
		if place != nil {
			if p, ok := r.Place(*place); ok {
				return m.In(p.Location())
			}
		}
		return m
	}
	switch rec := rec.(type) {
	case *crop.Visit:
		rec.CountedAt = ofPlant(rec.CountedAt, &rec.PlantID, nil)
	case *crop.Picking:
		rec.PickedAt = ofPlant(rec.PickedAt, rec.PlantID, rec.PlaceID)
	case *crop.Loss:
		rec.LostAt = ofPlant(rec.LostAt, rec.PlantID, rec.PlaceID)
	case *crop.DiaryEntry:
		rec.NotedAt = ofPlant(rec.NotedAt, rec.PlantID, nil)
	case *crop.Temperature:
		if p, ok := r.Place(rec.PlaceID); ok {
			rec.MeasuredAt = rec.MeasuredAt.In(p.Location())
		}
	}
}

// place gives the moments of records the zones of the places where the plants stood, and returns the plants and places.
func (s *Site) place(ctx context.Context, q gorm.ConnPool, records []crop.Record) (*refs, error) {
	r := newRefs(s.id)
	if err := r.load(ctx, q, records, crop.Plants, crop.Places); err != nil {
		return nil, err
	}
	for _, rec := range records {
		placeIn(rec, r)
	}
	return r, nil
}
