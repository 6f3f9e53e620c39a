package demotrial

var seasons = []seasonPlan{winterSeason, autumnSeason}

// winterSeason is finished: everything was picked, lost or cleared.
var winterSeason = seasonPlan{
	name: winter, firstDay: "2025-10-04", lastDay: "2026-03-01",
	records: clock("2026-03-01", 17, 0), cleared: true,
	firstVisit: "2025-10-30",
	away:       []span{{"2025-12-23", "2025-12-30"}},
	notebook:   []span{{"2025-12-23", "2026-01-03"}, {"2026-02-14", "2026-02-16"}},
	plants: []plantPlan{
		{label: "B1", cultivar: "Brambury", place: balcony, sown: "2025-10-04", transplanted: "2025-10-28", slowerDays: 0.5, note: "in a pot by the window rail"},
		{label: "B2", cultivar: "Brambury", place: balcony, sown: "2025-10-04", transplanted: "2025-10-28", slowerDays: 1.5},
		{label: "U1", cultivar: "Pebblewick", place: kitchen, sown: "2025-10-04"},
		{label: "U2", cultivar: "Pebblewick", place: kitchen, sown: "2025-10-04", slowerDays: 1},
		{label: "U3", cultivar: "Pebblewick", place: kitchen, sown: "2025-10-04", slowerDays: -1},
		{label: "U4", cultivar: "Quincelet", place: kitchen, sown: "2025-10-04"},
		{label: "U4b", cultivar: "Quincelet", place: kitchen, sown: "2025-10-04", removed: "2025-11-02", origin: "U4", discarded: true, note: "second seedling of the pod, separated and then discarded: too weak"},
		{label: "U5", cultivar: "Quincelet", place: kitchen, sown: "2025-10-04", slowerDays: 2},
		{label: "U6", cultivar: "Quincelet", place: kitchen, sown: "2025-10-04", slowerDays: -0.5},
		{label: "U7", cultivar: "Brambury", place: kitchen, sown: "2025-10-04", secondFlush: true},
		{label: "U8", cultivar: "Brambury", place: kitchen, sown: "2025-10-04", slowerDays: 1, secondFlush: true},
	},
}

// autumnSeason is not: the household came home after a fortnight away and
// counted; the balcony is still to be picked.
var autumnSeason = seasonPlan{
	name: autumn, firstDay: "2026-06-13", lastDay: "2026-10-31",
	records:    clock("2026-10-26", 20, 30),
	firstVisit: "2026-07-09",
	away:       []span{{"2026-10-11", "2026-10-26"}},
	notebook:   []span{{"2026-08-07", "2026-08-11"}},
	unpicked:   []unpicked{{balcony, span{"2026-10-06", "2026-10-26"}}},
	starts:     map[string][2]int{"2026-10-11": {7, 20}, "2026-10-26": {18, 35}},
	plants: []plantPlan{
		{label: "B1", cultivar: "Brambury", place: balcony, sown: "2026-06-13", transplanted: "2026-07-04", slowerDays: -3, secondFlush: true},
		{label: "B2", cultivar: "Brambury", place: balcony, sown: "2026-06-13", transplanted: "2026-07-04", slowerDays: -2, secondFlush: true, note: "the pot nearest the door"},
		{label: "B3", cultivar: "Pebblewick", place: balcony, sown: "2026-06-27", transplanted: "2026-07-18", slowerDays: 8, note: "sown again, the first pod stayed empty"},
		{label: "B4", cultivar: "Quincelet", place: kitchen, sown: "2026-06-13", transplanted: "2026-07-02", origin: "U6", slowerDays: 17, moves: []movePlan{{"2026-07-04", balcony}}, note: "second seedling of pod U6, separated and grown on"},
		{label: "U1", cultivar: "Pebblewick", place: kitchen, sown: "2026-06-13"},
		{label: "U2", cultivar: "Pebblewick", place: kitchen, sown: "2026-06-13", slowerDays: 1.5},
		{label: "U3", cultivar: "Pebblewick", place: kitchen, sown: "2026-06-13", slowerDays: 0.5, moves: []movePlan{{"2026-08-23", balcony}}, note: "too tall for the lamps from August on"},
		{label: "U4", cultivar: "Quincelet", place: kitchen, sown: "2026-06-13"},
		{label: "U5", cultivar: "Quincelet", place: kitchen, sown: "2026-06-13", slowerDays: 1},
		{label: "U6", cultivar: "Quincelet", place: kitchen, sown: "2026-06-13", slowerDays: 2},
		{label: "U7", cultivar: "Brambury", place: kitchen, sown: "2026-06-13", slowerDays: 3, removed: "2026-09-19", note: "stem soft at the base; taken out before it was done"},
		{label: "U8", cultivar: "Brambury", place: kitchen, sown: "2026-06-13", secondFlush: true},
	},
}
