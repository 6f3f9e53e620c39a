package csvfile

import "vinetally/analytics/crop"

var seasonTable = &table[crop.Season]{
	file: seasonsFile, noun: "season", key: "season",
	columns: []column[crop.Season]{
		nameColumn("season", func(s *crop.Season) *string { return &s.Name }),
		dateColumn("first_day", mayMiss, func(s *crop.Season) **crop.Date { return &s.FirstDay }),
		dateColumn("last_day", mayMiss, func(s *crop.Season) **crop.Date { return &s.LastDay }),
	},
}

// nameColumn is a name that every row must give.
func nameColumn[T any](name string, field func(*T) *string) column[T] {
	col := textColumn(name, field)
	col.need = mustGiven
	return col
}

// finishSeasons makes seasons known by name, those that the store had with the duty to load their records.
func (im *importer) finishSeasons() {
	im.byName.seasons = map[string]*season{}
	for name, record := range byName(im, im.registry.seasons, "season", func(s *crop.Season) string { return s.Name }) {
		im.byName.seasons[name] = &season{record: record, stored: im.kinds.seasons.byID[record.ID] != nil, plants: map[string]*plant{}}
	}
}
