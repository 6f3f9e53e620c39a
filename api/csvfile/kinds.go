package csvfile

import (
	"maps"

	"vinetally/analytics/crop"
)

// recordKinds holds what an import knows of every kind of record.
type recordKinds struct {
	seasons   *kind[string, crop.Season, *crop.Season]
	places    *kind[string, crop.Place, *crop.Place]
	cultivars *kind[string, crop.Cultivar, *crop.Cultivar]
	scales    scaleRows
	plants    *plantRows

	// Those that nothing refers to.
	counts       *stream[countKey, crop.Visit, *crop.Visit]
	pickings     *stream[takenKey, crop.Picking, *crop.Picking]
	losses       *stream[takenKey, crop.Loss, *crop.Loss]
	temperatures *stream[temperatureKey, crop.Temperature, *crop.Temperature]
	diary        *stream[diaryKey, crop.DiaryEntry, *crop.DiaryEntry]
	germination  *stream[germinationKey, crop.Germination, *crop.Germination]

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
	k.counts = newStream[countKey, crop.Visit, *crop.Visit](crop.Visits, countTable(nil), keyOfCount)
	k.counts.clone = func(v *crop.Visit) *crop.Visit { c := *v; c.Counts = maps.Clone(v.Counts); return &c }
	k.counts.empty = func(v *crop.Visit) { clear(v.Counts); *v = crop.Visit{Counts: v.Counts} }
	k.pickings = newStream[takenKey, crop.Picking, *crop.Picking](crop.Pickings, pickingTable, keyOfPicking)
	k.losses = newStream[takenKey, crop.Loss, *crop.Loss](crop.Losses, lossTable, keyOfLoss)
	k.temperatures = newStream[temperatureKey, crop.Temperature, *crop.Temperature](crop.Temperatures, temperatureTable, keyOfTemperature)
	k.temperatures.lone = true
	k.diary = newStream[diaryKey, crop.DiaryEntry, *crop.DiaryEntry](crop.Diary, diaryTable, keyOfEntry)
	k.germination = newStream[germinationKey, crop.Germination, *crop.Germination](crop.Germinations, germinationTable, keyOfGermination)
	k.plants = newPlantRows()
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
		if len(k.counts.sources) == 0 {
			k.counts.table = countTable(stageNames(orderedScales(im.registry.scales)))
		}
		k.counts.read(im, source, im.broken[scalesFile])
	case pickingsFile:
		k.pickings.read(im, source, false)
	case lossesFile:
		k.losses.read(im, source, false)
	case temperaturesFile:
		k.temperatures.read(im, source, false)
	case diaryFile:
		k.diary.read(im, source, false)
	case germinationFile:
		k.germination.read(im, source, false)
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
		im.checkForeignPlants()
	case movesFile:
		k.plants.settle(im)
		im.apply()
		k.plants.forget()
	case countsFile:
		k.counts.finish(im)
	case pickingsFile:
		k.pickings.finish(im)
	case lossesFile:
		k.losses.finish(im)
	case temperaturesFile:
		k.temperatures.finish(im)
	case diaryFile:
		k.diary.finish(im)
	case germinationFile:
		k.germination.finish(im)
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

// unknown enters the ids that rows give and that aren't of the loaded records.
func (b *book[K, T]) unknown(into map[crop.ID]rowRef) {
	for id, at := range b.claims {
		if b.byID[id] == nil {
			into[id] = at
		}
	}
}
