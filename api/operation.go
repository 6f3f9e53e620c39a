package api

import (
	"net/http"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// operation is what the served description says of a route beside its method, path and summary.
type operation struct {
	tag        string
	about      string
	parameters []string // names in parameterDocs; those of the path and of reading one record are added
	bodies     []form
	answers    []answerForm
	problems   []problemKind // beside those that every route may answer
}

// form is a way in which a body or an answer is written.
type form struct{ media, component string }

type answerForm struct {
	status  int
	about   string
	headers []string // names in headerDocs
	forms   []form
}

// parameterDoc describes a parameter or header.
type parameterDoc struct {
	name, in string
	required bool
	schema   *schema
}

func parameterDocs() []parameterDoc {
	id := func(about, example string) *schema {
		return &schema{types: []string{"string"}, format: "uuid", about: about, example: example}
	}
	instant := func(about string) *schema {
		return &schema{types: []string{"string"}, format: "date-time", about: about, example: exampleTime}
	}
	span := func(about string) *schema {
		return &schema{types: []string{"string"}, about: about, anyOf: []*schema{{format: "date-time"}, {format: "date"}}, example: exampleDay}
	}
	date := func(about string) *schema {
		return &schema{types: []string{"string"}, format: "date", about: about, example: exampleDay}
	}
	text := func(about, example string) *schema {
		return &schema{types: []string{"string"}, about: about, example: example}
	}
	return []parameterDoc{
		{"id", "path", true, id("The record's id.", exampleID)},
		{"name", "path", true, text("The file's name, as the page that loads it has it.", "report-0123456789ab.css")},
		{"problem", "path", true, text("The last part of a problem's type.", "invalid-record")},
		{"recipe", "path", true, text("The file's name, as the documentation lists it.", "record-visit.sh")},
		{"season_id", "query", false, id("Only records of this season.", exampleSeason)},
		{"season", "query", false, text("The season's name or id; the newest of those under way if it isn't given.", "Winter 2025")},
		{"place_id", "query", false, id("Only records of this place; of a plant's records those made while it stood there.", examplePlace)},
		{"cultivar_id", "query", false, id("Only records of this cultivar.", exampleCultivar)},
		{"plant_id", "query", false, id("Only records of this plant.", examplePlant)},
		{"from", "query", false, span("Only records at this time or later; of a day alone from its beginning at the place (in UTC for what has none).")},
		{"to", "query", false, span("Only records at this time or earlier; of a day alone to its end at the place (in UTC for what has none).")},
		{"cursor", "query", false, text("Where the page begins: `next` of the page before.", "WzE3NzAxMDY1MDAwMDAsIjAxOThiMmM0Il0")},
		{"limit", "query", false, &schema{types: []string{"integer"}, about: "How many records a page has; 100 if it isn't given.", low: new(1.0), high: new(500.0), example: 100}},
		{"as_of", "query", false, instant("Look back from this moment: use only records stamped at or before it, by the time of what they tell of and not by when they were stored; a day alone is in once its day has begun at the place. If it isn't given: now; of forecasts, past ripe and waste the beginning of the current minute, or the last record if that is later, as the answer says; of reports the season's last record.")},
		{"from_day", "query", false, date("Sum up besides what was picked and lost from this day on; all else in the report goes back to the season's beginning.")},
		{"to_day", "query", false, date("Speak of the end of this day at the season's place, in place of `as_of`; whatever came later is left out.")},
		{"price_per_kg", "query", false, &schema{types: []string{"number"}, unit: "money/kg", about: "What a kilogram of marketable fruit is worth to you, in any money.", low: new(0.0), high: new(float64(MostPrice)), example: 6.5}},
		{"hold_days", "query", false, &schema{types: []string{"number"}, unit: "d", about: "The hold time in calendar days; each cultivar's own if it isn't given, 7 for one that has none.", low: new(0.25), high: new(365.0), example: 7}},
		{"days", "query", false, &schema{types: []string{"integer"}, unit: "d", about: "How many days ahead; 14 if it isn't given.", low: new(1.0), high: new(float64(forecast.MostDays)), example: forecast.DefaultDays}},
		{"air_c", "query", false, &schema{types: []string{"number"}, unit: "°C", about: "The mean temperature that you expect of the days ahead, at all places. If it isn't given they are taken to be like the places' recent days, or for days at 20 °C where nobody measures.", low: new(leastAirC), high: new(mostAirC), example: 22.5}},
		{"weekdays", "query", false, text("The days of the week on which you can pick, of mon, tue, wed, thu, fri, sat and sun, with commas between them; all if it isn't given.", "mon,thu")},
		{"tolerated", "query", false, &schema{types: []string{"number"}, unit: "1", about: "The share of the ripe fruit that may hang past its hold time before it is picked; the plan picks as seldom as that allows. 0.05 if it isn't given.", low: new(0.0), high: new(mostTolerated), example: 0.1}},
		{"clock", "query", false, &schema{types: []string{"string"}, enum: []string{"calendar", "thermal"}, about: "What curves count time by: days of the calendar, or standard days by the temperature readings of the places. `thermal` if it isn't given, where readings cover at least four fifths of the time between each plant's first count and its last (gaps of up to three days count as covered where the place's other days can fill them); else `calendar`. The answer says which.", example: "thermal"}},
		{"method", "query", false, &schema{types: []string{"string"}, enum: []string{"least_squares", "event_times"}, about: "How curves are fitted. `least_squares`, if it isn't given: the running totals, shares being of the level that the curve comes to. `event_times`: the likelihood of when each fruit reached the stage, known between two counts (grouped and overdispersed), shares being of all fruit set, ripe or not; it needs every stage in each plant's last count and plants that set no more fruit, and gives profile-likelihood intervals.", example: "event_times"}},
		{"replace", "query", false, &schema{types: []string{"boolean"}, about: "Whether a value may take the place of another one of the same place and time, which stays in the history.", example: false}},
		{"If-Match", "header", false, text("Write only if this is the record's ETag, so that an edit made meanwhile isn't overwritten.", `"3"`)},
		{"If-None-Match", "header", false, text("Of a read: answer 304 if this is still the record's ETag. Of a write: `*` writes only if there is no such record.", `"3"`)},
		{actorHeader, "header", false, &schema{types: []string{"string"}, about: "Who records, for the history; there are no accounts, so it is what the client says. `rest` if it isn't given.", most: new(crop.MaxName), example: "Ana"}},
	}
}

// headerDocs are the headers of answers.
var headerDocs = map[string]*schema{
	"ETag":        {types: []string{"string"}, about: "The record's version in quotes, for If-Match and If-None-Match; -gzip is added to it where the answer is compressed.", example: `"3"`},
	"Location":    {types: []string{"string"}, about: "The address of the new record.", example: "/v1/counts/" + exampleID},
	"Retry-After": {types: []string{"string"}, about: "How many seconds to wait before trying again.", example: "2"},
	"Allow":       {types: []string{"string"}, about: "The methods that are answered.", example: "GET, POST"},
}

// Groups of problems that routes share.
var (
	readingProblems = []problemKind{invalidParameter, busy, internalError}
	bodyProblems    = []problemKind{malformedJSON, unreadableBody, bodyTooLarge, notAccepted, crossOrigin, invalidRecord, conflicting, diskFull}
)

func reads(tag, about, component string, more ...string) operation {
	return operation{tag: tag, about: about, parameters: more, problems: readingProblems,
		answers: []answerForm{{status: http.StatusOK, about: "The answer.", forms: []form{{mediaJSON, component}}}}}
}

// analyses are of one record, so it may not be there.
func analyses(about, component string, more ...string) operation {
	o := reads("analytics", about, component, append([]string{"id"}, more...)...)
	o.problems = append([]problemKind{noSuchRecord}, o.problems...)
	return o
}

func page(about string, more ...string) operation {
	return operation{tag: "pages", about: about, parameters: more, problems: readingProblems,
		answers: []answerForm{{status: http.StatusOK, about: "The page.", forms: []form{{"text/html", ""}}}}}
}

// pageOf is a page of one record.
func pageOf(about string, more ...string) operation {
	o := page(about, append([]string{"id"}, more...)...)
	o.problems = append([]problemKind{noSuchRecord}, o.problems...)
	return o
}

const ofSeasonUnderWay = "Of the season that is under way, the newest if there are several, or of the one named. It speaks of the beginning of the current hour, or of the last record if that is later."

// todayOperation is a page of the season under way, or of one that may not be there.
func todayOperation() operation {
	o := page(ofSeasonUnderWay+" With `as_of` it is the page as it was at that moment.", "season", "as_of")
	o.problems = append([]problemKind{noSuchRecord}, o.problems...)
	return o
}

func calendarOperation() operation {
	o := todayOperation()
	o.about = "iCalendar (RFC 5545), for a calendar to subscribe to: an event of the whole day for each day of the picking plan, whose UID stays the same, with the fruit expected in its description. " + ofSeasonUnderWay +
		" Plants that were treated are left out until they may be picked. Without picking days it holds a journal entry that says why."
	o.parameters = calendarParameters
	o.answers = []answerForm{{status: http.StatusOK, about: "The calendar.", forms: []form{{"text/calendar", ""}}}}
	return o
}

func describedHealth(about string, problems ...problemKind) operation {
	return operation{tag: "service", about: about, problems: append(problems, internalError),
		answers: []answerForm{{status: http.StatusOK, about: "It is.", forms: []form{{mediaJSON, "Health"}}}}}
}

func syncOperation() operation {
	return operation{tag: "sync", parameters: []string{actorHeader}, bodies: []form{{mediaJSON, "SyncBody"}},
		about: "For clients that record without a network. Kinds may be mixed and may come in any order, also records before those they refer to. Every record has an id made by the client. " +
			"The whole list may be sent again, in part or in another order: what was stored before changes nothing. Changes of one record that name their base_version follow each other by it.",
		answers:  []answerForm{{http.StatusOK, "Everything is stored; one answer for each item.", nil, []form{{mediaJSON, "SyncAnswer"}}}},
		problems: append(append([]problemKind{noSuchRecord, staleVersion}, bodyProblems...), readingProblems...)}
}

func bulkOperation() operation {
	return operation{tag: "temperatures", parameters: []string{"replace", actorHeader}, bodies: []form{{mediaJSON, "BulkBody"}, {mediaCSV, ""}},
		about: "Up to 100,000 readings as JSON, or as CSV with the columns `place` or `place_id`, `measured_at` (RFC 3339; in CSV without an offset it is read by the clock of the place, and a time that a clock change doubles is its first, one that it skips is refused) and `air_c`. A reading is known by its place and time: " +
			"the same value again changes nothing, another value is refused unless `replace=true`.",
		answers:  []answerForm{{http.StatusOK, "Everything is stored.", nil, []form{{mediaJSON, "BulkAnswer"}}}},
		problems: append(append([]problemKind{malformedCSV, noSuchRecord}, bodyProblems...), readingProblems...)}
}

func documentOperation() operation {
	return operation{tag: "service", problems: []problemKind{invalidParameter, internalError},
		answers: []answerForm{{http.StatusOK, "The document, OpenAPI 3.1.", nil, []form{{mediaJSON, "Document"}}}}}
}

func assetOperation() operation {
	return operation{tag: "pages", parameters: []string{"name"}, problems: []problemKind{noSuchAddress, internalError},
		answers: []answerForm{{http.StatusOK, "The file.", nil, []form{{"text/css", ""}, {"text/javascript", ""}}}}}
}
