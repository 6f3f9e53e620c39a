package csvfile

import (
	"maps"

	"vinetally/analytics/crop"
)

// recordKinds holds what an import knows of every kind of record.
type recordKinds struct {
	seasons     *kind[string, crop.Season, *crop.Season]
	places      *kind[string, crop.Place, *crop.Place]
	cultivars   *kind[string, crop.Cultivar, *crop.Cultivar]
	counts      *kind[countKey, crop.Visit, *crop.Visit]
	pickings    *kind[takenKey, crop.Picking, *crop.Picking]
	losses      *kind[takenKey, crop.Loss, *crop.Loss]
	diary       *kind[diaryKey, crop.DiaryEntry, *crop.DiaryEntry]
	germination *kind[germinationKey, crop.Germination, *crop.Germination]
	countTable  *table[crop.Visit]

	scales       scaleRows
	plants       *plantRows
	temperatures *temperatureRows

	// faultyCultivars are the names of cultivars whose rows have faults: what scale they have isn't known.
	faultyCultivars map[string]bool
}

func (im *importer) setUp() {
	k := &im.kinds
	k.faultyCultivars = map[string]bool{}
	k.seasons = newKind[string, crop.Season, *crop.Season]("season", "season", func(s *crop.Season) string { return s.Name })
	k.seasons.register = func(s *crop.Season) { im.registry.seasons[s.ID] = s }
	k.places = newKind[string, crop.Place, *crop.Place]("place", "place", func(p *crop.Place) string { return p.Name })
	k.places.register = func(p *crop.Place) { im.registry.places[p.ID] = p }
	k.cultivars = newKind[string, crop.Cultivar, *crop.Cultivar]("cultivar", "cultivar", func(v *crop.Cultivar) string { return v.Name })
	k.cultivars.register = func(v *crop.Cultivar) { im.registry.cultivars[v.ID] = v }
	k.cultivars.broken = func(_ *cell, v *crop.Cultivar) { k.faultyCultivars[v.Name] = true }
	k.counts = newKind[countKey, crop.Visit, *crop.Visit]("count", countTable(nil).key, keyOfCount)
	k.counts.clone = func(v *crop.Visit) *crop.Visit { c := *v; c.Counts = maps.Clone(v.Counts); return &c }
	k.pickings = newKind[takenKey, crop.Picking, *crop.Picking]("picking", pickingTable.key, keyOfPicking)
	k.losses = newKind[takenKey, crop.Loss, *crop.Loss]("loss", lossTable.key, keyOfLoss)
	k.diary = newKind[diaryKey, crop.DiaryEntry, *crop.DiaryEntry]("diary entry", diaryTable.key, keyOfEntry)
	k.germination = newKind[germinationKey, crop.Germination, *crop.Germination]("germination count", germinationTable.key, keyOfGermination)
	k.plants = newPlantRows()
	k.temperatures = newTemperatureRows()
	k.seasons.addStored(im.catalogue.Seasons)
	k.places.addStored(im.catalogue.Places)
	k.cultivars.addStored(im.catalogue.Cultivars)
	im.byName.plants = map[crop.ID]*plant{}
}

func (im *importer) readSource(source int32, file string) {
	k := &im.kinds
	switch file {
	case seasonsFile:
		readRecords(im, source, seasonTable, k.seasons)
	case placesFile:
		readRecords(im, source, placeTable, k.places)
	case scalesFile:
		readTable(im, source, scaleTable, false, func(c *cell, h *header, cells []string) { k.scales.take(c, h, cells) })
	case cultivarsFile:
		readRecords(im, source, cultivarTable, k.cultivars)
	case plantsFile:
		readTable(im, source, plantTable, false, func(c *cell, h *header, cells []string) { k.plants.take(c, h, cells) })
	case movesFile:
		readTable(im, source, moveTable, false, func(c *cell, h *header, cells []string) { k.plants.takeMove(c, h, cells) })
	case countsFile:
		if k.countTable == nil {
			k.countTable = countTable(stageNames(orderedScales(im.registry.scales)))
		}
		readTable(im, source, k.countTable, im.broken[scalesFile], func(c *cell, h *header, cells []string) {
			k.counts.take(c, k.countTable, h, cells)
		})
	case pickingsFile:
		readRecords(im, source, pickingTable, k.pickings)
	case lossesFile:
		readRecords(im, source, lossTable, k.losses)
	case temperaturesFile:
		readTable(im, source, temperatureTable, false, func(c *cell, h *header, cells []string) { k.temperatures.take(c, h, cells) })
	case diaryFile:
		readRecords(im, source, diaryTable, k.diary)
	case germinationFile:
		readRecords(im, source, germinationTable, k.germination)
	}
}

func readRecords[K comparable, T any, P record[T]](im *importer, source int32, t *table[T], k *kind[K, T, P]) {
	readTable(im, source, t, false, func(c *cell, h *header, cells []string) { k.take(c, t, h, cells) })
}

// finishKind does what needs all rows of a kind.
func (im *importer) finishKind(file string) {
	k := &im.kinds
	switch file {
	case seasonsFile:
		im.finishSeasons()
	case placesFile:
		im.byName.places = byName(im, im.registry.places, "place", func(p *crop.Place) string { return p.Name })
	case scalesFile:
		k.scales.finish(im)
		im.byName.scales = byName(im, im.registry.scales, "scale", func(s *crop.Scale) string { return s.Name })
	case cultivarsFile:
		im.byName.cultivars = byName(im, im.registry.cultivars, "cultivar", func(v *crop.Cultivar) string { return v.Name })
	case plantsFile:
		k.plants.finish(im)
	case movesFile:
		k.plants.settle(im)
	case countsFile:
		k.counts.checkDoubles(im)
	case pickingsFile:
		k.pickings.checkDoubles(im)
	case lossesFile:
		k.losses.checkDoubles(im)
	case temperaturesFile:
		k.temperatures.finish(im)
	case diaryFile:
		k.diary.checkDoubles(im)
	case germinationFile:
		k.germination.checkDoubles(im)
	}
}

// byName indexes records by name, and refuses the changes that give a record the name of another.
func byName[T any, P record[T]](im *importer, records map[crop.ID]*T, column string, name func(*T) string) map[string]*T {
	index := make(map[string]*T, len(records))
	shared := map[string]bool{}
	for _, r := range records {
		if _, twice := index[name(r)]; twice {
			shared[name(r)] = true
		}
		index[name(r)] = r
	}
	if len(shared) == 0 {
		return index
	}
	for i, change := range im.changes {
		if r, ok := change.Record.(P); ok && shared[name(r)] {
			im.fault(im.rows[i], column, "%q is the name of another %s, with another id; leave the id empty to mean that one, or choose another name", name(r), column)
		}
	}
	return index
}

// partOf says in which row of moves.csv or scales.csv a part of a record stands.
func (k *recordKinds) partOf(r crop.Record, pointer string) (at rowRef, column string, ok bool) {
	switch r := r.(type) {
	case *crop.Plant:
		return k.plants.movePart(r, pointer)
	case *crop.Scale:
		return k.scales.stagePart(r, pointer)
	}
	return rowRef{}, "", false
}

// unknownIDs returns the ids that rows give and that aren't of the loaded records.
func (k *recordKinds) unknownIDs() map[crop.ID]rowRef {
	unknown := map[crop.ID]rowRef{}
	k.plants.unknown(unknown)
	k.counts.unknown(unknown)
	k.pickings.unknown(unknown)
	k.losses.unknown(unknown)
	k.diary.unknown(unknown)
	k.germination.unknown(unknown)
	return unknown
}

func (b *book[K, T]) unknown(into map[crop.ID]rowRef) {
	for id, at := range b.claims {
		if b.byID[id] == nil {
			into[id] = at
		}
	}
}
