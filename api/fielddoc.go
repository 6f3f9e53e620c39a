package api

import (
	"maps"
	"slices"

	"vinetally/analytics/crop"
)

// fieldDoc is what the served description says of a field beside its type: what it means, its unit, its limits and an
// example. The rules themselves are crop.Check's; a test holds the limits told here against it.
type fieldDoc struct {
	about       string
	unit        string
	example     any
	low, high   *float64
	least, most *int
	enum        []string
	need        bool // a record can't be stored without it
}

// fieldDocs has an entry for every field of every component, as Component.field, or as *.field where it means the same
// everywhere.
var fieldDocs = merged(commonDocs, recordDocs, answerDocs, curveDocs, germinationDocs, yieldDocs, wasteDocs, forecastDocs, countFitDocs)

func merged(tables ...map[string]fieldDoc) map[string]fieldDoc {
	all := map[string]fieldDoc{}
	for _, t := range tables {
		maps.Copy(all, t)
	}
	return all
}

// said is a field without limits.
func said(about string, example any) fieldDoc { return fieldDoc{about: about, example: example} }

// text is free text up to a number of characters.
func text(about string, most int, example string) fieldDoc {
	return fieldDoc{about: about, most: &most, example: example}
}

func number(about, unit string, low, high float64, example any) fieldDoc {
	return fieldDoc{about: about, unit: unit, low: &low, high: &high, example: example}
}

// from0 is a number that can't be negative.
func from0(about, unit string, example any) fieldDoc {
	return fieldDoc{about: about, unit: unit, low: new(0.0), example: example}
}

func inUnit(d fieldDoc, unit string) fieldDoc {
	d.unit = unit
	return d
}

func oneOf[S ~string](about string, names []S, example string) fieldDoc {
	d := fieldDoc{about: about, example: example}
	for _, n := range names {
		d.enum = append(d.enum, string(n))
	}
	return d
}

func needed(d fieldDoc) fieldDoc {
	d.need = true
	return d
}

// The invented trial that all examples are of.
const (
	exampleSeason   = "0198b2c4-7a10-7000-8000-000000000001"
	examplePlace    = "0198b2c4-7a10-7000-8000-000000000002"
	exampleCultivar = "0198b2c4-7a10-7000-8000-000000000003"
	examplePlant    = "0198b2c4-7a10-7000-8000-000000000004"
	exampleOrigin   = "0198b2c4-7a10-7000-8000-000000000005"
	exampleID       = "0198b2c4-7a10-7000-8000-000000000006"
	exampleTime     = "2026-02-03T08:15:00Z"
	exampleDay      = "2026-02-03"
)

func byStageExample(numbers ...any) object {
	var o object
	for i, stage := range crop.DefaultScale().Stages {
		if i < len(numbers) {
			o = append(o, entry{stage.Name, numbers[i]})
		}
	}
	return o
}

// largestWhole is the largest number that every reader of JSON holds exactly (RFC 8259 section 6).
const largestWhole = 1<<53 - 1

// commonDocs are fields that mean the same wherever they stand.
var commonDocs = map[string]fieldDoc{
	"*.id":          said("The record's id, a UUID. A client may make its own, so that sending a record again is safe; without one the server makes one of version 7.", exampleID),
	"*.season_id":   said("The season.", exampleSeason),
	"*.place_id":    said("The place.", examplePlace),
	"*.cultivar_id": said("The cultivar.", exampleCultivar),
	"*.plant_id":    said("The plant.", examplePlant),
	"*.plant":       said("The plant's label.", "A1"),
	"*.cultivar":    said("The cultivar's name.", "Pip"),
	"*.stage":       text("A stage of the plant's ripeness scale.", crop.MaxName, "red"),
	"*.note":        text("Anything else, in your own words; line breaks are kept.", crop.MaxNote, "after a warm week"),
	"*.warnings":    said("What the reader should know before using this, in plain sentences; empty if there is nothing.", []string{}),
	"*.as_of":       said("The moment the answer looks back from: only records stamped at or before it were used.", exampleTime),
	"*.version":     number("The number of the record's version, from 1; also its ETag.", "", 1, largestWhole, 3),
	"*.recorded_at": said("When this version was stored.", "2026-02-03T08:16:20.512Z"),
	"*.recorded_by": text("Who stored this version: the header X-Recorded-By, or rest, or import for a file.", crop.MaxName, "Ana"),
	"*.deleted":     said("True if this version is a deletion; the fields are those of what was deleted.", false),
	"*.time_known":  said("False if the day was recorded without a time; the instant shown is then noon of that day at the place, and stands for the whole day.", true),
	"*.base_version": number("The version that this change was made from, 0 for a new record. A change from an older version is refused, unless these contents "+
		"were stored before: then nothing changes.", "", 0, largestWhole, 0),
	"*.before_count": said("True if it happened before a count of the same time. Otherwise picked, thinned and cleared fruit came after it and other losses before it.", false),
	"*.fruits":       number("How many fruit.", "fruit", 0, crop.MaxFruit, 4),
	"*.hold_days":    number("How many calendar days a ripe fruit may stay on the vine before it counts as past ripe; 7 for a cultivar that has none of its own.", "d", 0.25, 365, 7),
	"*.code":         said("What kind it is, for programs.", "fewer_than_expected"),
	"*.effect":       oneOf("What the change did.", []crop.Effect{crop.Created, crop.Replaced, crop.Unchanged, crop.Removed}, "created"),
	"*.kind":         oneOf("The kind of record.", slices.Clone(crop.Kinds()), "counts"),
}
