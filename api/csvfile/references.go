package csvfile

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// names finds what rows refer to by name, as it is called after the import.
type names struct {
	seasons   map[string]*season
	places    map[string]*crop.Place
	cultivars map[string]*crop.Cultivar
	scales    map[string]*crop.Scale
	// plants says for every plant which season and scale it has; its label is in the season.
	plants map[crop.ID]*plant
}

// season is a season with its plants by label.
type season struct {
	record *crop.Season
	stored bool // its records are in the store, and loaded once it is touched
	loaded bool
	plants map[string]*plant
}

// plant is a plant as rows refer to it.
type plant struct {
	record *crop.Plant
	scale  *crop.Scale // nil if faults hide which it is
	faulty bool        // its own row has a fault, so its records can't be checked
}

// season returns the season of a name, made if there is none, with what is stored of it loaded; nil after an error.
func (im *importer) season(c *cell, name string) *season {
	s := im.byName.seasons[name]
	if s == nil {
		name = strings.Clone(name)
		record := &crop.Season{Name: name}
		if !im.make(c, record, "season") {
			return nil
		}
		im.registry.seasons[record.ID] = record
		s = &season{record: record, plants: map[string]*plant{}}
		im.byName.seasons[name] = s
	}
	if s.stored && !s.loaded {
		im.load(s)
	}
	if im.err != nil {
		return nil
	}
	return s
}

func (im *importer) placeNamed(c *cell, name string) *crop.Place {
	if p := im.byName.places[name]; p != nil {
		return p
	}
	name = strings.Clone(name)
	p := &crop.Place{Name: name}
	if !im.make(c, p, "place") {
		return nil
	}
	im.registry.places[p.ID], im.byName.places[name] = p, p
	return p
}

func (im *importer) cultivarNamed(c *cell, name string) *crop.Cultivar {
	if v := im.byName.cultivars[name]; v != nil {
		return v
	}
	name = strings.Clone(name)
	v := &crop.Cultivar{Name: name}
	if !im.make(c, v, "cultivar") {
		return nil
	}
	im.registry.cultivars[v.ID], im.byName.cultivars[name] = v, v
	return v
}

// make stores a record because a row names it.
func (im *importer) make(c *cell, r crop.Record, what string) bool {
	if im.again {
		c.spoil(c.column) // the row isn't among those that were read
		return false
	}
	if im.onlyStored {
		c.fault("is %.100q, but there is no such %s; make it first, or mend the name", c.name(), what)
		return false
	}
	r.SetIdentity(im.store.NewID())
	for _, f := range crop.Check(r, im.registry, im.now) {
		c.fault("%s", f.Detail)
	}
	if c.faults > 0 {
		c.spoil(c.column) // nothing is made for a row that isn't taken
		return false
	}
	im.addChange(r, c.at)
	im.summary.Made = append(im.summary.Made, fmt.Sprintf("%s %q", what, c.name()))
	return true
}

func (im *importer) addChange(r crop.Record, at rowRef) {
	im.took(r)
	im.changes = append(im.changes, crop.Change{Record: r})
	im.rows = append(im.rows, at)
}

// load reads the stored plants of a season, once.
func (im *importer) load(s *season) {
	s.loaded = true
	plants, err := im.session.Plants(im.ctx, s.record.ID)
	if err != nil {
		im.err = fmt.Errorf("read season %q: %w", s.record.Name, err)
		return
	}
	for i := range plants {
		p := &plants[i]
		im.registry.plants[p.ID] = p
		im.kinds.plants.addStored(keyOfPlant(p), p.ID, p)
		im.addPlant(s, p)
	}
}

func (im *importer) addPlant(s *season, record *crop.Plant) *plant {
	p := &plant{record: record}
	if v := im.registry.cultivars[record.CultivarID]; v != nil && !im.kinds.faultyCultivars[v.Name] {
		p.scale, _ = crop.ScaleOf(im.registry, v.ID)
	}
	s.plants[record.Label] = p
	im.byName.plants[record.ID] = p
	return p
}

// plantNamed returns the plant of a label in the row's season; nil after a fault.
func (im *importer) plantNamed(c *cell, label string) *plant {
	if c.season == nil {
		c.spoil(c.column)
		return nil
	}
	if p := c.season.plants[label]; p != nil {
		return p
	}
	if im.broken[plantsFile] {
		c.spoil(c.column) // the plant may well be in the part that could not be read
		return nil
	}
	c.fault("there is no plant %q in season %q; write a line for it in plants.csv", label, c.season.record.Name)
	return nil
}

// checkForeignPlants refuses rows that give a plant an id which is of a plant in another season.
func (im *importer) checkForeignPlants() {
	unknown := map[crop.ID]rowRef{}
	im.kinds.plants.unknown(unknown)
	if len(unknown) == 0 || im.stopped() || !im.session.Had(crop.Plants) {
		return
	}
	found, err := im.session.Alike(im.ctx, crop.Plants, nil, nil, slices.SortedFunc(maps.Keys(unknown), crop.ID.Compare))
	if err != nil {
		im.err = err
		return
	}
	for _, r := range found {
		p, ok := r.(*crop.Plant)
		if ok {
			im.fault(unknown[p.ID], "id", "%s", foreign(im.registry.seasonName(&p.SeasonID)))
		}
	}
}

func foreign(season string) string {
	return fmt.Sprintf("is the id of a record in season %q; leave it empty to store another record", season)
}

// foreignSeason returns the name of the season of a stored record if no row of the import is of that season. Its plant is
// known if one is.
func (im *importer) foreignSeason(r crop.Record) (name string, isForeign bool) {
	var plantID, seasonID *crop.ID
	switch r := r.(type) {
	case *crop.Visit:
		plantID = &r.PlantID
	case *crop.Picking:
		plantID, seasonID = r.PlantID, r.SeasonID
	case *crop.Loss:
		plantID, seasonID = r.PlantID, r.SeasonID
	case *crop.DiaryEntry:
		seasonID = &r.SeasonID
	case *crop.Germination:
		seasonID = &r.SeasonID
	default:
		return "", false
	}
	if seasonID != nil {
		s := im.seasonByID(*seasonID)
		return im.registry.seasonName(seasonID), s != nil && s.stored && !s.loaded
	}
	if im.registry.plants[*plantID] != nil {
		return "", false
	}
	for _, s := range im.byName.seasons {
		if !s.stored || s.loaded {
			continue
		}
		plants, err := im.session.Plants(im.ctx, s.record.ID)
		if err != nil {
			im.err = err
			return "", false
		}
		if slices.ContainsFunc(plants, func(p crop.Plant) bool { return p.ID == *plantID }) {
			return s.record.Name, true
		}
	}
	return "", false
}
