package api

import (
	"strings"

	"vinetally/analytics/crop"
)

const manyTrusses = 1000

// recordDocs are the fields of the records.
var recordDocs = map[string]fieldDoc{
	"Season.name":      needed(text("What the season is called; no two have the same name.", crop.MaxName, "Spring 2026")),
	"Season.first_day": said("The first day of the season, in the place's zone.", "2025-10-01"),
	"Season.last_day":  said("The last day of the season, not before the first.", "2026-05-31"),

	"Place.name":      needed(text("What the place is called; no two have the same name.", crop.MaxName, "balcony")),
	"Place.time_zone": said("The zone of the place's clock, a name of the IANA time zone database; empty means UTC until one is given.", "Europe/Lisbon"),

	"Stage.name":        needed(text("The stage; each name once in a scale.", crop.MaxName, "green")),
	"Stage.description": text("How to tell it.", crop.MaxNote, "no other colour on the surface"),
	"Scale.name":        needed(text("What the scale is called; no two have the same name.", crop.MaxName, "two colours")),
	"Scale.stages": {about: "The stages from unripe to ripe. A name alone will do for a stage without a description. A scale in use can't change them.",
		least: new(2), most: new(24), need: true,
		example: []object{{{"name", "green"}, {"description", "no other colour on the surface"}}, {{"name", "yellow"}, {"description", "yellow all over"}}}},
	"Scale.ripe_stage": needed(text("The stage at which fruit counts as ripe, not the first; stages after it are ripe too.", crop.MaxName, "yellow")),

	"Cultivar.name":     needed(text("The cultivar; no two have the same name.", crop.MaxName, "Pip")),
	"Cultivar.scale_id": said("Its ripeness scale; null is the shipped scale of four stages.", crop.DefaultScaleID.String()),

	"Plant.season_id":       needed(said("The season it belongs to.", exampleSeason)),
	"Plant.place_id":        needed(said("Where it stood first; moves say where it went.", examplePlace)),
	"Plant.cultivar_id":     needed(said("Its cultivar.", exampleCultivar)),
	"Plant.label":           needed(text("What the plant is called; once in a season.", crop.MaxName, "A1")),
	"Plant.sown_on":         said("The day it was sown. It may be missing if `transplanted_on` is given.", "2025-10-01"),
	"Plant.transplanted_on": said("The day it was transplanted.", "2025-10-20"),
	"Plant.removed_on":      said("The day it was removed.", "2026-05-20"),
	"Plant.origin_id":       said("The plant of the same sowing spot that this one was separated from.", exampleOrigin),
	"Plant.lot":             text("The seed lot.", crop.MaxName, "lot 7"),
	"Plant.moves":           {about: "Its changes of place, by date; null is none."},
	"Move.place_id":         needed(said("Where it stands from then on.", examplePlace)),
	"Move.on":               needed(said("The first day at the new place.", "2025-12-01")),

	"Count.plant_id":   needed(said("The plant that was counted.", examplePlant)),
	"Count.counted_at": needed(said("When: an instant with an offset, or a day alone.", exampleTime)),
	"Count.counts": {about: "Standing fruit by stage. A stage that was not counted is left out or null, which is not zero. At least one stage, or total, is given.",
		unit: "fruit", low: new(0.0), high: new(float64(crop.MaxFruit)), example: byStageExample(12, 3, 1, 2)},
	"Count.total":           number("All standing fruit, where colours were not told apart, or beside a count of only some stages; null if not given. Beside all stages it is their sum; of a count that was given up (`at_least`) it may be more, for it is a lower bound as they are. A guess is no lower bound: it goes into the note, or into a count marked about.", "fruit", 0, crop.MaxFruit, 18),
	"Count.trusses_counted": number("How many trusses the count is of, where it is of some only.", "trusses", 0, manyTrusses, 3),
	"Count.trusses_total":   number("How many trusses the plant has.", "trusses", 0, manyTrusses, 8),
	"Count.truss":           number("The one truss that this row is of, from 1 at the base. Not together with `trusses_counted`.", "", 1, manyTrusses, 2),
	"Count.at_least":        said("True if the count was given up: its numbers are lower bounds.", false),
	"Count.about":           said("True if the numbers are a glance and not a count; nothing is computed from them.", false),
	"Count.observer":        text("Who counted.", crop.MaxName, "Ana"),

	"Picking.plant_id":    said("The plant it came from; null where that isn't known, then `season_id`, `place_id` and `cultivar_id` say of which plants one.", examplePlant),
	"Picking.season_id":   said("The season; only where `plant_id` is null.", exampleSeason),
	"Picking.place_id":    said("The place; only where `plant_id` is null.", examplePlace),
	"Picking.cultivar_id": said("The cultivar; only where `plant_id` is null.", exampleCultivar),
	"Picking.picked_at":   needed(said("When: an instant with an offset, or a day alone.", exampleTime)),
	"Picking.stage":       text("The stage of the fruit; the ripe stage of the scale if left out.", crop.MaxName, "red"),
	"Picking.fruits":      number("How many fruit. It may be missing if `mass_g` is given. 0 says that somebody looked and found nothing to pick; it adds nothing to any sum.", "fruit", 0, crop.MaxFruit, 4),
	"Picking.mass_g":      number("What they weighed together.", "g", 0, 1_000_000, 61.5),
	"Picking.weighing":    text("Pickings of a season with the same label were weighed together; the mass stands on one of them.", crop.MaxName, "Tuesday bowl"),
	"Picking.grade":       oneOf("What became of the fruit; marketable if left out.", []crop.Grade{crop.Marketable, crop.Cull}, "marketable"),
	"Picking.brix":        number("Soluble solids of the juice.", "°Brix", 0, 40, 7.2),
	"Picking.taste":       number("Liking on the 9-point hedonic scale.", "points", 1, 9, 8),

	"Loss.plant_id":    said("The plant it was lost from; null where that isn't known, then `season_id`, `place_id` and `cultivar_id` say of which plants one.", examplePlant),
	"Loss.season_id":   said("The season; only where `plant_id` is null.", exampleSeason),
	"Loss.place_id":    said("The place; only where `plant_id` is null.", examplePlace),
	"Loss.cultivar_id": said("The cultivar; only where `plant_id` is null.", exampleCultivar),
	"Loss.lost_at":     needed(said("When: an instant with an offset, or a day alone.", exampleTime)),
	"Loss.stage":       needed(text("The stage the fruit had reached.", crop.MaxName, "red")),
	"Loss.fruits":      needed(number("How many fruit. 0 says that somebody looked and found none; it adds nothing to any sum.", "fruit", 0, crop.MaxFruit, 1)),
	"Loss.cause":       needed(oneOf("How. Thinned was taken off on purpose, cleared was left on the plant when it was removed.", crop.Causes(), "split")),

	"DiaryEntry.season_id":       needed(said("The season it is about.", exampleSeason)),
	"DiaryEntry.plant_id":        said("The plant it is about; null for the whole season.", examplePlant),
	"DiaryEntry.noted_at":        needed(said("When: an instant with an offset, or a day alone.", exampleTime)),
	"DiaryEntry.kind":            needed(oneOf("What it is about.", crop.DiaryKinds(), "solution measured")),
	"DiaryEntry.ec_ds_m":         number("Electrical conductivity of the nutrient solution.", "dS/m", 0, 50, 1.8),
	"DiaryEntry.ph":              number("pH of the nutrient solution.", "pH", 0, 14, 6),
	"DiaryEntry.solution_c":      number("Temperature of the nutrient solution.", "°C", -10, 80, 19.5),
	"DiaryEntry.pick_not_before": said("The first day on which fruit may be picked after a treatment, not before the day of `noted_at`; with the kind treated only.", "2026-02-17"),

	"Temperature.place_id":    needed(said("Where it was measured.", examplePlace)),
	"Temperature.measured_at": needed(said("When, with an offset; once for each place.", exampleTime)),
	"Temperature.air_c":       needed(number("Temperature of the air. An absurd reading is kept, for a logger's fault is evidence too.", "°C", -273.15, 1000, 18.5)),

	"Germination.season_id":   needed(said("The season.", exampleSeason)),
	"Germination.cultivar_id": needed(said("The cultivar.", exampleCultivar)),
	"Germination.lot":         text("The seed lot.", crop.MaxName, "lot 7"),
	"Germination.sown_on":     needed(said("The day the seeds were sown.", "2025-10-01")),
	"Germination.seeds":       needed(number("How many seeds were sown.", "seeds", 1, crop.MaxFruit, 20)),
	"Germination.counted_on":  needed(said("The day of this count, not before sowing.", "2025-10-09")),
	"Germination.emerged":     needed(number("How many seedlings are up so far, in all; not more than seeds.", "seedlings", 0, crop.MaxFruit, 17)),
}

// recordComponent names the schema of a kind, and says in a sentence what it is.
func recordComponent(kind crop.Kind) (name, about string) {
	switch kind {
	case crop.Seasons:
		return "Season", "One crop cycle at the site."
	case crop.Places:
		return "Place", "Where plants stand: a unit, a bench, a bay, a balcony."
	case crop.Scales:
		return "Scale", "An ordered list of ripeness stages with one marked ripe."
	case crop.Cultivars:
		return "Cultivar", "The variety."
	case crop.Plants:
		return "Plant", "The unit that is observed."
	case crop.Visits:
		return "Count", "A count of the standing fruit of one plant at one time, by stage."
	case crop.Pickings:
		return "Picking", "Fruit taken at one time, of one stage and grade, from one plant or from a cultivar's plants at a place."
	case crop.Losses:
		return "Loss", "Fruit gone unpicked."
	case crop.Diary:
		return "DiaryEntry", "Anything else worth dating, of one plant or of the whole season."
	case crop.Temperatures:
		return "Temperature", "One reading of the air at a place."
	case crop.Germinations:
		return "Germination", "One count of a seed lot."
	}
	return "", ""
}

// recordNouns names one record of a kind, with its article, and several.
func recordNouns(kind crop.Kind) (one, several string) {
	switch kind {
	case crop.Visits:
		return "a count", "counts"
	case crop.Losses:
		return "a loss", "losses"
	case crop.Diary:
		return "a diary entry", "diary entries"
	case crop.Temperatures:
		return "a temperature reading", "temperature readings"
	case crop.Germinations:
		return "a germination count", "germination counts"
	}
	return "a " + strings.TrimSuffix(string(kind), "s"), string(kind)
}

// bodyExamples are bodies that may be sent as they are once what they refer to is there.
var bodyExamples = map[crop.Kind]string{
	crop.Seasons:      `{"name": "Spring 2026", "first_day": "2025-10-01"}`,
	crop.Places:       `{"name": "balcony", "time_zone": "Europe/Lisbon"}`,
	crop.Scales:       `{"name": "two colours", "stages": ["green", {"name": "yellow", "description": "yellow all over"}], "ripe_stage": "yellow"}`,
	crop.Cultivars:    `{"name": "Pip", "hold_days": 7, "note": "round, early"}`,
	crop.Plants:       `{"season_id": "` + exampleSeason + `", "place_id": "` + examplePlace + `", "cultivar_id": "` + exampleCultivar + `", "label": "A1", "sown_on": "2025-10-01"}`,
	crop.Visits:       `{"plant_id": "` + examplePlant + `", "counted_at": "2026-02-03T08:15:00Z", "counts": {"green": 12, "breaker": 3, "turning": 1, "red": 2}, "observer": "Ana"}`,
	crop.Pickings:     `{"plant_id": "` + examplePlant + `", "picked_at": "2026-02-03T08:15:00Z", "stage": "red", "fruits": 2, "mass_g": 21.5}`,
	crop.Losses:       `{"plant_id": "` + examplePlant + `", "lost_at": "2026-02-03", "stage": "red", "fruits": 1, "cause": "split"}`,
	crop.Diary:        `{"season_id": "` + exampleSeason + `", "noted_at": "2026-02-03", "kind": "solution measured", "ec_ds_m": 1.8, "ph": 6, "solution_c": 19.5}`,
	crop.Temperatures: `{"place_id": "` + examplePlace + `", "measured_at": "2026-02-03T08:15:00Z", "air_c": 18.5}`,
	crop.Germinations: `{"season_id": "` + exampleSeason + `", "cultivar_id": "` + exampleCultivar + `", "lot": "lot 7", "sown_on": "2025-10-01", "seeds": 20, "counted_on": "2025-10-09", "emerged": 17}`,
}
