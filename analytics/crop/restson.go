package crop

// restsOn lists, for the fields whose rules look at other fields of the record, which those are.
var restsOn = map[Kind]map[string][]string{
	Seasons: {"last_day": {"first_day"}},
	Scales:  {"ripe_stage": {"stages"}},
	Plants: {
		"sown_on": {"transplanted_on"}, "transplanted_on": {"sown_on"}, "removed_on": {"sown_on", "transplanted_on"},
		"moves": {"sown_on", "transplanted_on", "removed_on"}, "origin_id": {"id", "season_id"},
	},
	Visits: {
		"counts": {"plant_id", "total"}, "counted_at": {"plant_id"}, "total": {"plant_id", "counts", "at_least"},
		"trusses_counted": {"trusses_total"}, "truss": {"trusses_counted"},
	},
	Pickings: {
		"plant_id": unitFields, "season_id": {"plant_id"}, "place_id": {"plant_id"}, "cultivar_id": {"plant_id"},
		"picked_at": sourceFields, "stage": sourceFields, "fruits": {"mass_g"}, "mass_g": {"fruits"},
	},
	Losses: {
		"plant_id": unitFields, "season_id": {"plant_id"}, "place_id": {"plant_id"}, "cultivar_id": {"plant_id"},
		"lost_at": sourceFields, "stage": sourceFields,
	},
	Diary:        {"plant_id": {"season_id"}, "noted_at": {"plant_id"}, "pick_not_before": {"kind", "noted_at"}},
	Germinations: {"counted_on": {"sown_on"}, "emerged": {"seeds"}},
}

var (
	unitFields   = []string{"season_id", "place_id", "cultivar_id"}
	sourceFields = append([]string{"plant_id"}, unitFields...)
)

// RestsOn lists the other fields, by their JSON names, that the rules of a field look at. A fault that Check finds there in a
// record of which one of them couldn't be read, and was left out, may be owed to that.
func RestsOn(kind Kind, field string) []string { return restsOn[kind][field] }
