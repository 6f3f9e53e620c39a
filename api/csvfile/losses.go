package csvfile

import "vinetally/analytics/crop"

func keyOfLoss(l *crop.Loss) takenKey {
	return takenKey{sourceOf(l.PlantID, &l.Unit), keyOfMoment(l.LostAt), l.Stage, string(l.Cause)}
}

var lossTable = &table[crop.Loss]{
	file: lossesFile, noun: "loss", key: "plant+lost_at+stage+cause",
	columns: []column[crop.Loss]{
		seasonColumn(func(n *registry, l *crop.Loss) string { return n.seasonOf(l.PlantID, &l.Unit) },
			func(l *crop.Loss, id crop.ID) { l.SeasonID = &id }),
		plantColumn(mayMiss, func(n *registry, l *crop.Loss) string { return n.plantLabel(l.PlantID) },
			func(l *crop.Loss, id *crop.ID) { l.PlantID = id }),
		placeColumn(mayMiss, func(n *registry, l *crop.Loss) string { return n.placeName(l.PlaceID) },
			func(l *crop.Loss, id *crop.ID) { l.PlaceID = id }),
		cultivarColumn(mayMiss, func(n *registry, l *crop.Loss) string { return n.cultivarName(l.CultivarID) },
			func(l *crop.Loss, id *crop.ID) { l.CultivarID = id }),
		momentColumn("lost_at", func(n *registry, l *crop.Loss) string { return n.momentText(l.LostAt, l.PlantID, l.PlaceID) },
			func(l *crop.Loss) *crop.Moment { return &l.LostAt }),
		takenStageColumn(mustGiven, func(l *crop.Loss) *string { return &l.Stage }),
		wholeColumn("fruits", mustGiven, func(l *crop.Loss) **int { return &l.Fruits }),
		{name: "cause", need: mustGiven, read: func(c *cell, l *crop.Loss) { l.Cause = crop.Cause(c.word()) },
			write: func(_ *registry, l *crop.Loss) string { return string(l.Cause) }},
		yesColumn("before_count", mayMiss, func(l *crop.Loss) *bool { return &l.BeforeCount }),
		noteColumn("note", func(l *crop.Loss) *string { return &l.Note }),
	},
	lacks: lacksSource,
	complete: func(c *cell, l *crop.Loss) {
		c.completeSource(l.PlantID, &l.Unit)
		c.completeStage(&l.Unit, &l.Stage)
	},
}
