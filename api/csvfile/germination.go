package csvfile

import "vinetally/analytics/crop"

// germinationKey knows a count of a seed lot.
type germinationKey struct {
	season, cultivar crop.ID
	lot              string
	countedOn        crop.Date
}

func keyOfGermination(g *crop.Germination) germinationKey {
	key := germinationKey{season: g.SeasonID, cultivar: g.CultivarID, lot: g.Lot}
	if g.CountedOn != nil {
		key.countedOn = *g.CountedOn
	}
	return key
}

var germinationTable = &table[crop.Germination]{
	file: germinationFile, noun: "germination count", key: "cultivar+lot+counted_on",
	columns: []column[crop.Germination]{
		seasonColumn(func(n *registry, g *crop.Germination) string { return n.seasonName(&g.SeasonID) },
			func(g *crop.Germination, id crop.ID) { g.SeasonID = id }),
		cultivarColumn(mustGiven, func(n *registry, g *crop.Germination) string { return n.cultivarName(&g.CultivarID) },
			func(g *crop.Germination, id *crop.ID) { g.CultivarID = orZero(id) }),
		// The store keeps counts of lots without a name, so that the file must be able to say so.
		{name: "lot", need: mayEmpty, text: true, read: func(c *cell, g *crop.Germination) { g.Lot = c.name() },
			write: func(_ *registry, g *crop.Germination) string { return g.Lot }},
		dateColumn("sown_on", mustGiven, func(g *crop.Germination) **crop.Date { return &g.SownOn }),
		wholeColumn("seeds", mustGiven, func(g *crop.Germination) **int { return &g.Seeds }),
		dateColumn("counted_on", mustGiven, func(g *crop.Germination) **crop.Date { return &g.CountedOn }),
		wholeColumn("emerged", mustGiven, func(g *crop.Germination) **int { return &g.Emerged }),
	},
}
