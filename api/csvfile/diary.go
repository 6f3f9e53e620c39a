package csvfile

import "vinetally/analytics/crop"

// diaryKey knows a diary entry.
type diaryKey struct {
	season, plant crop.ID
	at            momentKey
	kind          crop.DiaryKind
	note          string
}

func keyOfEntry(d *crop.DiaryEntry) diaryKey {
	return diaryKey{d.SeasonID, orZero(d.PlantID), keyOfMoment(d.NotedAt), d.Kind, d.Note}
}

var diaryTable = &table[crop.DiaryEntry]{
	file: diaryFile, noun: "diary entry", key: "plant+noted_at+kind+note",
	columns: []column[crop.DiaryEntry]{
		seasonColumn(func(n *registry, d *crop.DiaryEntry) string { return n.seasonName(&d.SeasonID) },
			func(d *crop.DiaryEntry, id crop.ID) { d.SeasonID = id }),
		plantColumn(mayMiss, func(n *registry, d *crop.DiaryEntry) string { return n.plantLabel(d.PlantID) },
			func(d *crop.DiaryEntry, id *crop.ID) { d.PlantID = id }),
		momentColumn("noted_at", entryTime, func(d *crop.DiaryEntry) *crop.Moment { return &d.NotedAt }),
		{name: "kind", need: mustGiven, read: func(c *cell, d *crop.DiaryEntry) { d.Kind = crop.DiaryKind(c.word()) },
			write: func(_ *registry, d *crop.DiaryEntry) string { return string(d.Kind) }},
		numberColumn("ec_ds_m", mayMiss, func(d *crop.DiaryEntry) **float64 { return &d.ECDsM }),
		numberColumn("ph", mayMiss, func(d *crop.DiaryEntry) **float64 { return &d.PH }),
		numberColumn("solution_c", mayMiss, func(d *crop.DiaryEntry) **float64 { return &d.SolutionC }),
		dateColumn("pick_not_before", mayMiss, func(d *crop.DiaryEntry) **crop.Date { return &d.PickNotBefore }),
		noteColumn("note", func(d *crop.DiaryEntry) *string { return &d.Note }),
	},
}

// entryTime writes the time of an entry; of one for the whole season by the clock that its plants share, or UTC.
func entryTime(n *registry, d *crop.DiaryEntry) string {
	m := d.NotedAt
	if d.PlantID == nil && m.TimeKnown() {
		m.At = m.At.UTC()
		if loc := n.seasonZone(d.SeasonID); loc != nil {
			m.At = m.At.In(loc)
		}
	}
	return n.momentText(m, d.PlantID, nil)
}
