package storage

import "vinetally/analytics/crop"

// tables hold every kind.
var tables = map[crop.Kind]*table{
	crop.Seasons: define(table{kind: crop.Seasons, name: "seasons", one: "season", many: "seasons",
		order: byText("name"), unique: []string{"name"}},
		sure(newSeasonRow), func(r *crop.Season) string { return r.Name }),
	crop.Places: define(table{kind: crop.Places, name: "places", one: "place", many: "places",
		order: byText("name"), unique: []string{"name"}},
		sure(newPlaceRow), func(r *crop.Place) string { return r.Name }),
	crop.Scales: define(table{kind: crop.Scales, name: "scales", one: "scale", many: "scales",
		order: byText("name"), unique: []string{"name"}},
		newScaleRow, func(r *crop.Scale) string { return r.Name }),
	crop.Cultivars: define(table{kind: crop.Cultivars, name: "cultivars", one: "cultivar", many: "cultivars",
		order: byText("name"), unique: []string{"name"}},
		sure(newCultivarRow), func(r *crop.Cultivar) string { return r.Name }),
	crop.Plants: define(table{kind: crop.Plants, name: "plants", one: "plant", many: "plants",
		order: byText("label"), unique: []string{"season_id", "label"}, filters: filters{
			season: `season_id = @id`, cultivar: `cultivar_id = @id`,
			place: `(place_id = @id OR id IN (SELECT plant_id FROM plant_moves WHERE site_id = @site AND place_id = @id))`,
		}}, sure(newPlantRow), func(r *crop.Plant) string { return r.Label }),
	crop.Visits: define(table{kind: crop.Visits, name: "visits", one: "count", many: "counts",
		order: byTime("counted_at"), filters: throughPlant},
		newVisitRow, func(r *crop.Visit) string { return r.CountedAt.String() }),
	crop.Pickings: define(table{kind: crop.Pickings, name: "pickings", one: "picking", many: "pickings",
		order: byTime("picked_at"), filters: throughPlantOrUnit},
		sure(newPickingRow), func(r *crop.Picking) string { return r.PickedAt.String() }),
	crop.Losses: define(table{kind: crop.Losses, name: "losses", one: "loss", many: "losses",
		order: byTime("lost_at"), filters: throughPlantOrUnit},
		sure(newLossRow), func(r *crop.Loss) string { return r.LostAt.String() }),
	crop.Diary: define(table{kind: crop.Diary, name: "diary", one: "diary entry", many: "diary entries",
		order: byTime("noted_at"), filters: filters{
			season: `season_id = @id`, place: throughPlant.place, cultivar: throughPlant.cultivar, plant: throughPlant.plant,
		}}, sure(newDiaryRow), func(r *crop.DiaryEntry) string { return r.NotedAt.String() }),
	crop.Temperatures: define(table{kind: crop.Temperatures, name: "temperatures", one: "temperature reading",
		many: "temperature readings", order: byTime("measured_at"), unique: []string{"place_id", "measured_at"},
		filters: filters{place: `place_id = @id`}},
		sure(newTemperatureRow), func(r *crop.Temperature) string { return crop.InstantMoment(r.MeasuredAt).String() }),
	crop.Germinations: define(table{kind: crop.Germinations, name: "germination", one: "germination count",
		many: "germination counts", order: byDay("counted_on"),
		filters: filters{season: `season_id = @id`, cultivar: `cultivar_id = @id`}},
		sure(newGerminationRow), func(r *crop.Germination) string { return r.CountedOn.String() }),
}

// filters are the conditions that narrow a list, in SQL with @site and @id; empty where the kind has no such thing.
type filters struct {
	season, place, cultivar, plant string
}

// throughPlant finds records by what their plant has. A record is at every place where its plant ever stood: which one it
// was at the time depends on the day there, which SQL doesn't know.
var throughPlant = filters{
	plant:    `plant_id = @id`,
	season:   `plant_id IN (SELECT id FROM plants WHERE site_id = @site AND season_id = @id)`,
	cultivar: `plant_id IN (SELECT id FROM plants WHERE site_id = @site AND cultivar_id = @id)`,
	place: `plant_id IN (SELECT id FROM plants WHERE site_id = @site AND place_id = @id
		UNION SELECT plant_id FROM plant_moves WHERE site_id = @site AND place_id = @id)`,
}

// throughPlantOrUnit finds the records that name a unit as well.
var throughPlantOrUnit = filters{
	plant:    throughPlant.plant,
	season:   `(season_id = @id OR ` + throughPlant.season + `)`,
	cultivar: `(cultivar_id = @id OR ` + throughPlant.cultivar + `)`,
	place:    `(place_id = @id OR ` + throughPlant.place + `)`,
}
