package csvfile

import (
	"cmp"
	"slices"
	"time"

	"vinetally/analytics/crop"
)

// registry finds the records that others refer to, as they stand after the import. It is the crop.Refs of the checks.
type registry struct {
	seasons   map[crop.ID]*crop.Season
	places    map[crop.ID]*crop.Place
	scales    map[crop.ID]*crop.Scale
	cultivars map[crop.ID]*crop.Cultivar
	plants    map[crop.ID]*crop.Plant

	seasonZones map[crop.ID]*time.Location
}

func newRegistry(catalogue *crop.Catalogue) *registry {
	return &registry{
		seasons:   byID(catalogue.Seasons),
		places:    byID(catalogue.Places),
		scales:    byID(catalogue.Scales),
		cultivars: byID(catalogue.Cultivars),
		plants:    map[crop.ID]*crop.Plant{},

		seasonZones: map[crop.ID]*time.Location{},
	}
}

func byID[T any, P record[T]](rows []T) map[crop.ID]*T {
	m := make(map[crop.ID]*T, len(rows))
	for i := range rows {
		m[P(&rows[i]).Identity()] = &rows[i]
	}
	return m
}

// record is a pointer to a record's type.
type record[T any] interface {
	*T
	crop.Record
}

// Season, Place, Scale, Cultivar and Plant make it crop.Refs.
func (g *registry) Season(id crop.ID) (*crop.Season, bool) { r, ok := g.seasons[id]; return r, ok }
func (g *registry) Place(id crop.ID) (*crop.Place, bool)   { r, ok := g.places[id]; return r, ok }
func (g *registry) Scale(id crop.ID) (*crop.Scale, bool)   { r, ok := g.scales[id]; return r, ok }
func (g *registry) Cultivar(id crop.ID) (*crop.Cultivar, bool) {
	r, ok := g.cultivars[id]
	return r, ok
}
func (g *registry) Plant(id crop.ID) (*crop.Plant, bool) { r, ok := g.plants[id]; return r, ok }

func (g *registry) seasonName(id *crop.ID) string {
	if id == nil || g.seasons[*id] == nil {
		return ""
	}
	return g.seasons[*id].Name
}

func (g *registry) placeName(id *crop.ID) string {
	if id == nil || g.places[*id] == nil {
		return ""
	}
	return g.places[*id].Name
}

func (g *registry) cultivarName(id *crop.ID) string {
	if id == nil || g.cultivars[*id] == nil {
		return ""
	}
	return g.cultivars[*id].Name
}

func (g *registry) plantLabel(id *crop.ID) string {
	if id == nil || g.plants[*id] == nil {
		return ""
	}
	return g.plants[*id].Label
}

// seasonOf names the season of a plant, or of a unit where there is no plant.
func (g *registry) seasonOf(plant *crop.ID, u *crop.Unit) string {
	if plant == nil {
		return g.seasonName(u.SeasonID)
	}
	if p := g.plants[*plant]; p != nil {
		return g.seasonName(&p.SeasonID)
	}
	return ""
}

// momentText is the moment by the clock of the place where the plant or unit stood.
func (g *registry) momentText(m crop.Moment, plant, place *crop.ID) string {
	if m.TimeKnown() {
		switch {
		case plant != nil && g.plants[*plant] != nil:
			m = m.In(crop.LocationAt(g.plants[*plant], m, g))
		case place != nil:
			m = m.In(g.places[*place].Location())
		}
	}
	return m.String()
}

// seasonZone is the zone that all plants of a season share: UTC if there is no plant, nil if the plants don't agree. It is
// worked out when first asked for, which is after all plants of the season are known.
func (g *registry) seasonZone(season crop.ID) *time.Location {
	if loc, known := g.seasonZones[season]; known {
		return loc
	}
	zones := map[string]*time.Location{}
	add := func(place crop.ID) {
		loc := g.places[place].Location()
		zones[loc.String()] = loc
	}
	for _, p := range g.plants {
		if p.SeasonID != season {
			continue
		}
		add(p.PlaceID)
		for _, m := range p.Moves {
			add(m.PlaceID)
		}
	}
	shared := time.UTC
	for _, loc := range zones {
		shared = loc
	}
	if len(zones) > 1 {
		shared = nil
	}
	g.seasonZones[season] = shared
	return shared
}

// orderedScales returns scales with the default one first and the others by name.
func orderedScales(scales map[crop.ID]*crop.Scale) []*crop.Scale {
	ordered := make([]*crop.Scale, 0, len(scales))
	for _, s := range scales {
		ordered = append(ordered, s)
	}
	slices.SortFunc(ordered, func(a, b *crop.Scale) int {
		switch {
		case a.ID == b.ID:
			return 0
		case a.ID == crop.DefaultScaleID:
			return -1
		case b.ID == crop.DefaultScaleID:
			return 1
		}
		return cmp.Or(crop.NaturalCompare(a.Name, b.Name), a.ID.Compare(b.ID))
	})
	return ordered
}

// stageNames lists the stages of scales, each once.
func stageNames(scales []*crop.Scale) []string {
	var names []string
	seen := map[string]bool{}
	for _, s := range scales {
		for _, stage := range s.Stages {
			if !seen[stage.Name] {
				seen[stage.Name] = true
				names = append(names, stage.Name)
			}
		}
	}
	return names
}
