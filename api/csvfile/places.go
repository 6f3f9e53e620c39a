package csvfile

import "vinetally/analytics/crop"

var placeTable = &table[crop.Place]{
	file: placesFile, noun: "place", key: "place",
	columns: []column[crop.Place]{
		nameColumn("place", func(p *crop.Place) *string { return &p.Name }),
		textColumn("time_zone", func(p *crop.Place) *string { return &p.TimeZone }),
	},
}
