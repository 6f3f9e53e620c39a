package csvfile

import (
	"slices"

	"vinetally/analytics/crop"
)

// plantRow is a plant as the file has it, with its origin by label.
type plantRow struct {
	crop.Plant
	origin string
}

var plantTable = &table[plantRow]{
	file: plantsFile, noun: "plant", key: "season+plant",
	columns: []column[plantRow]{
		seasonColumn(func(n *registry, r *plantRow) string { return n.seasonName(&r.SeasonID) },
			func(r *plantRow, id crop.ID) { r.SeasonID = id }),
		placeColumn(mustGiven, func(n *registry, r *plantRow) string { return n.placeName(&r.PlaceID) },
			func(r *plantRow, id *crop.ID) { r.PlaceID = orZero(id) }),
		cultivarColumn(mustGiven, func(n *registry, r *plantRow) string { return n.cultivarName(&r.CultivarID) },
			func(r *plantRow, id *crop.ID) { r.CultivarID = orZero(id) }),
		nameColumn("plant", func(r *plantRow) *string { return &r.Label }),
		dateColumn("sown_on", mayMiss, func(r *plantRow) **crop.Date { return &r.SownOn }),
		dateColumn("transplanted_on", mayMiss, func(r *plantRow) **crop.Date { return &r.TransplantedOn }),
		dateColumn("removed_on", mayMiss, func(r *plantRow) **crop.Date { return &r.RemovedOn }),
		{name: "origin", text: true, read: func(c *cell, r *plantRow) { r.origin = c.name() },
			write: func(n *registry, r *plantRow) string { return n.plantLabel(r.OriginID) }},
		textColumn("lot", func(r *plantRow) *string { return &r.Lot }),
		noteColumn("note", func(r *plantRow) *string { return &r.Note }),
	},
	lacks: func(has func(string) bool) string {
		if !has("sown_on") && !has("transplanted_on") {
			return "the column sown_on; or give transplanted_on for plants whose sowing date isn't known"
		}
		return ""
	},
}

type plantKey struct {
	season crop.ID
	label  string
}

func keyOfPlant(p *crop.Plant) plantKey { return plantKey{p.SeasonID, p.Label} }

// plantRows gathers plants.csv and moves.csv: a plant's moves are part of its record, and its origin may stand in a later
// line, so plants are settled when both files are read.
type plantRows struct {
	*book[plantKey, crop.Plant]
	order   []*plantEntry
	entries map[crop.ID]*plantEntry
	faulty  map[plantKey]bool
	moves   map[moveKey]rowRef
}

// plantEntry is a plant that rows speak of.
type plantEntry struct {
	row    plantRow
	stored *crop.Plant
	at     rowRef
	h      *header // nil if only moves.csv speaks of the plant
	moved  bool    // moves.csv changes it
	state  int     // of ordering: 0 not begun, 1 begun, 2 done
}

func newPlantRows() *plantRows {
	return &plantRows{book: newBook[plantKey, crop.Plant]("plant", plantTable.key),
		entries: map[crop.ID]*plantEntry{}, faulty: map[plantKey]bool{}, moves: map[moveKey]rowRef{}}
}

func (k *plantRows) take(c *cell, h *header, cells []string) {
	given := idCell(c, h, cells)
	e := &plantEntry{at: c.at, h: h}
	plantTable.fill(c, h, cells, &e.row)
	if c.faults > 0 {
		checkRest(c, &e.row.Plant)
		k.faulty[keyOfPlant(&e.row.Plant)] = true
		return
	}
	stored, column, problem := k.match(c.im, keyOfPlant(&e.row.Plant), given, c.at, identity[crop.Plant])
	if problem != "" {
		c.faultAt(column, "%s", problem)
		return
	}
	switch {
	case stored != nil:
		e.stored, given = stored, stored.ID
		e.row = plantRow{Plant: *stored}
		e.row.Moves = slices.Clone(stored.Moves)
		plantTable.fill(c, h, cells, &e.row)
	case given.IsZero():
		given = c.im.store.NewID()
	}
	e.row.ID = given
	k.enter(e)
}

// forget lets go of what only the rows of plants and moves need.
func (k *plantRows) forget() {
	k.book = newBook[plantKey, crop.Plant](k.noun, k.keyColumns)
	k.order = nil
	clear(k.entries)
	clear(k.faulty)
	clear(k.moves)
}

func (k *plantRows) enter(e *plantEntry) {
	k.order = append(k.order, e)
	k.entries[e.row.ID] = e
}

// finish makes the plants known by label and finds their origins.
func (k *plantRows) finish(im *importer) {
	for _, e := range k.order {
		im.registry.plants[e.row.ID] = &e.row.Plant
	}
	k.label(im)
	origin := plantTable.position("origin")
	for _, e := range k.order {
		if e.h.at[origin] < 0 {
			continue
		}
		e.row.OriginID = nil
		if e.row.origin == "" {
			continue
		}
		s := im.seasonByID(e.row.SeasonID)
		switch p := s.plants[e.row.origin]; {
		case p != nil:
			e.row.OriginID = &p.record.ID
		case !im.broken[plantsFile]:
			im.fault(e.at, "origin", "there is no plant %q in season %q; name the plant that this one was separated from", e.row.origin, s.record.Name)
		}
	}
}

// label puts every plant into its season under the label that it has after the import.
func (k *plantRows) label(im *importer) {
	for _, s := range im.byName.seasons {
		clear(s.plants)
	}
	shared := map[plantKey]bool{}
	for _, p := range im.registry.plants {
		s := im.seasonByID(p.SeasonID)
		if s == nil {
			continue
		}
		if s.plants[p.Label] != nil {
			shared[keyOfPlant(p)] = true
		}
		im.addPlant(s, p).faulty = k.faulty[keyOfPlant(p)]
	}
	for _, e := range k.order {
		if shared[keyOfPlant(&e.row.Plant)] {
			im.fault(e.at, "plant", "%q is the label of another plant of the season, with another id; leave the id empty to mean that plant, or choose another label", e.row.Label)
		}
	}
	for key := range k.faulty {
		if s := im.seasonByID(key.season); s != nil && s.plants[key.label] == nil {
			im.addPlant(s, &crop.Plant{Label: key.label, SeasonID: key.season}).faulty = true
		}
	}
}

// seasonByID returns the season of an id, or nil.
func (im *importer) seasonByID(id crop.ID) *season {
	if record := im.registry.seasons[id]; record != nil {
		return im.byName.seasons[record.Name]
	}
	return nil
}

// settle checks the plants with their moves and stores those that changed, an origin before the plants that come of it.
func (k *plantRows) settle(im *importer) {
	for _, e := range k.order {
		slices.SortStableFunc(e.row.Moves, func(a, b crop.Move) int { return a.On.Compare(b.On) })
	}
	for _, e := range k.order {
		k.settleAfterOrigin(im, e)
	}
}

func (k *plantRows) settleAfterOrigin(im *importer, e *plantEntry) {
	switch e.state {
	case 1:
		im.fault(e.at, "origin", "the plants come from one another in a ring; one of them must have no origin")
		return
	case 2:
		return
	}
	e.state = 1
	if e.row.OriginID != nil {
		if origin := k.entries[*e.row.OriginID]; origin != nil && origin != e {
			k.settleAfterOrigin(im, origin)
		}
	}
	e.state = 2
	p := &e.row.Plant
	if !im.check(p, e.at) {
		im.byName.plants[p.ID].faulty = true
		return
	}
	change := e.moved
	if e.h != nil {
		var stored *plantRow
		if e.stored != nil {
			stored = &plantRow{Plant: *e.stored}
		}
		settle(im, plantTable, e.h, e.at, &e.row, stored, func() { change = true })
	}
	if change {
		im.addChange(p, e.at)
	}
}
