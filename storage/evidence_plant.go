package storage

import (
	"context"

	"gorm.io/gorm"

	"vinetally/analytics/crop"
)

// evidenceOf reads what LoadEvidence returns and leaves it to the caller to arrange it. What the plant's records refer to is
// taken from r as far as it is there, with all that it refers to in turn, and its events from what stands.
func evidenceOf(ctx context.Context, q gorm.ConnPool, r *refs, plant crop.ID) (*crop.Trial, error) {
	of := []crop.Record{&crop.Visit{PlantID: plant}}
	if err := r.load(ctx, q, of, crop.Plants, crop.Cultivars, crop.Scales, crop.Places); err != nil {
		return nil, err
	}
	p, ok := r.Plant(plant)
	if !ok {
		return nil, notFound(tables[crop.Plants], plant)
	}
	t := &crop.Trial{Plants: []crop.Plant{*p}}
	if v, ok := r.Cultivar(p.CultivarID); ok {
		t.Cultivars = append(t.Cultivars, *v)
		if scale, ok := r.Scale(v.Scale()); ok {
			t.Scales = append(t.Scales, *scale)
		}
	}
	places := map[crop.ID]bool{}
	for _, l := range links(p) {
		if l.kind != crop.Places || places[l.id] {
			continue
		}
		places[l.id] = true
		if place, ok := r.Place(l.id); ok {
			t.Places = append(t.Places, *place)
		}
	}
	known := r.standing.events.of[plant]
	if known == nil {
		found, err := eventsOf(ctx, q, r.site, p)
		if err != nil {
			return nil, err
		}
		r.standing.events.keep(plant, &found)
		known = &found
	}
	known.copyTo(t)
	return t, nil
}

// eventQueries select a plant's pickings or losses and those of units of its cultivar in its season.
var eventQueries = func() map[crop.Kind]string {
	all := map[crop.Kind]string{}
	for _, kind := range []crop.Kind{crop.Pickings, crop.Losses} {
		t := tables[kind]
		rows := "SELECT " + t.selected("") + " FROM " + t.name
		all[kind] = rows + " WHERE site_id = ?1 AND plant_id = ?2 UNION ALL " + rows + " WHERE site_id = ?1 AND season_id = ?3 AND cultivar_id = ?4"
	}
	return all
}()

// visitsOfPlant gives one row, also where there are no counts. Grouping by the plant gives none then, and takes several times
// as long.
const visitsOfPlant = `SELECT ?2, ` + packedVisits + ` FROM visits AS e WHERE e.site_id = ?1 AND e.plant_id = ?2`

func eventsOf(ctx context.Context, q gorm.ConnPool, site int64, p *crop.Plant) (e events, err error) {
	args := []any{site, key(p.ID), key(p.SeasonID), key(p.CultivarID)}
	packs, err := scanPacked(ctx, q, visitsOfPlant, args[:2]...)
	if err != nil {
		return e, err
	}
	if e.visits, err = unpackVisits(packs); err != nil {
		return e, err
	}
	pickings, err := scanRows[pickingRow](ctx, q, tables[crop.Pickings].layout, eventQueries[crop.Pickings], args...)
	if err != nil {
		return e, err
	}
	e.pickings = each(pickings, (*pickingRow).picking)
	losses, err := scanRows[lossRow](ctx, q, tables[crop.Losses].layout, eventQueries[crop.Losses], args...)
	e.losses = each(losses, (*lossRow).loss)
	return e, err
}
