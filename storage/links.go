package storage

import "vinetally/analytics/crop"

// link is what a record refers to.
type link struct {
	kind crop.Kind
	id   crop.ID
}

// links lists what a record refers to.
func links(r crop.Record) []link {
	var all []link
	add := func(kind crop.Kind, id *crop.ID) {
		if id != nil {
			all = append(all, link{kind, *id})
		}
	}
	switch r := r.(type) {
	case *crop.Cultivar:
		all = append(all, link{crop.Scales, r.Scale()})
	case *crop.Plant:
		all = append(all, link{crop.Seasons, r.SeasonID}, link{crop.Places, r.PlaceID}, link{crop.Cultivars, r.CultivarID})
		for _, m := range r.Moves {
			all = append(all, link{crop.Places, m.PlaceID})
		}
		add(crop.Plants, r.OriginID)
	case *crop.Visit:
		all = append(all, link{crop.Plants, r.PlantID})
	case *crop.Picking:
		add(crop.Plants, r.PlantID)
		all = append(all, unitLinks(r.Unit)...)
	case *crop.Loss:
		add(crop.Plants, r.PlantID)
		all = append(all, unitLinks(r.Unit)...)
	case *crop.DiaryEntry:
		all = append(all, link{crop.Seasons, r.SeasonID})
		add(crop.Plants, r.PlantID)
	case *crop.Temperature:
		all = append(all, link{crop.Places, r.PlaceID})
	case *crop.Germination:
		all = append(all, link{crop.Seasons, r.SeasonID}, link{crop.Cultivars, r.CultivarID})
	}
	return all
}

func unitLinks(u crop.Unit) []link {
	var all []link
	for _, l := range []struct {
		kind crop.Kind
		id   *crop.ID
	}{{crop.Seasons, u.SeasonID}, {crop.Places, u.PlaceID}, {crop.Cultivars, u.CultivarID}} {
		if l.id != nil {
			all = append(all, link{l.kind, *l.id})
		}
	}
	return all
}
