package api

import (
	"reflect"
	"slices"

	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// newComponents describes everything that requests and answers are made of.
func newComponents() *describer {
	d := &describer{known: map[reflect.Type]string{}}
	d.describe("Stage", "One step of a ripeness scale.", reflect.TypeFor[crop.Stage]())
	d.describe("Move", "A change of place.", reflect.TypeFor[crop.Move]())
	for _, kind := range crop.Kinds() {
		d.describeKind(kind)
	}
	for _, c := range []struct {
		name, about string
		of          reflect.Type
	}{
		{"StandingEstimate", "What stands at a stage, expanded from some trusses to all.", reflect.TypeFor[estimateAnswer]()},
		{"LedgerVisit", "One visit of a ledger. Fruit is at each stage where nothing else is said.", reflect.TypeFor[ledgerVisit]()},
		{"LedgerTaken", "Fruit picked and lost.", reflect.TypeFor[ledgerTaken]()},
		{"LedgerBalance", "The account of a season at or beyond one stage.", reflect.TypeFor[ledgerBalance]()},
		{"LedgerTotals", "The sums of a ledger.", reflect.TypeFor[ledgerTotals]()},
		{"LedgerContradiction", "Records that can't all be right. They are reported, never refused.", reflect.TypeFor[ledgerContradiction]()},
		{"Ledger", "Every fruit of a plant accounted for.", reflect.TypeFor[ledgerAnswer]()},
		{"Clock", "What a day is.", reflect.TypeFor[clockAnswer]()},
		{"Shrunken", "A plant's t50 drawn towards those of its cultivar.", reflect.TypeFor[shrunkenAnswer]()},
		{"Crossing", "When a curve reaches a share of its own final level, with its interval.", reflect.TypeFor[crossingAnswer]()},
		{"Candidate", "A family of curves that was tried.", reflect.TypeFor[candidateAnswer]()},
		{"CurvePoint", "A point of a fitted line, with its band.", reflect.TypeFor[curvePoint]()},
		{"ObservedPoint", "The mean of one round of counting.", reflect.TypeFor[observedPoint]()},
		{"CurveBasis", "What a curve rests on.", reflect.TypeFor[curveBasis]()},
		{"Curve", "A fitted sigmoid of the fruit that ever reached a stage.", reflect.TypeFor[curveAnswer]()},
		{"CurveRefusal", "A curve that isn't given, and why.", reflect.TypeFor[curveRefusal]()},
		{"Curves", "The ripening curves of a season, by plant and by cultivar.", reflect.TypeFor[curvesAnswer]()},
		{"Interval", "An estimate with its interval, at the level of the answer.", reflect.TypeFor[intervalAnswer]()},
		{"MoreThan", "A chance.", reflect.TypeFor[moreThanAnswer]()},
		{"ExpectedRipe", "A number of fruit by the ripening model.", reflect.TypeFor[expectedRipe]()},
		{"PastRipePlant", "Ripe fruit left on one plant.", reflect.TypeFor[pastRipePlant]()},
		{"PastRipeSeason", "Ripe fruit left in the season.", reflect.TypeFor[pastRipeSeason]()},
		{"PastRipe", "Ripe fruit left longer than the hold time.", reflect.TypeFor[pastRipeAnswer]()},
		{"Residence", "How long fruit stay in a stage.", reflect.TypeFor[residenceAnswer]()},
		{"Observing", "What the records say of who counts, and of what goes unwritten.", reflect.TypeFor[observingAnswer]()},
		{"Quantiles", "Quantiles of a number of fruit: the fewest of which the chance of no more is so high.", reflect.TypeFor[quantiles]()},
		{"ForecastDay", "Fruit newly ripe by the end of a day ahead.", reflect.TypeFor[dayForecast]()},
		{"StageFruit", "Fruit standing in a stage now, as the model has it.", reflect.TypeFor[stageFruit]()},
		{"ByDay", "How much of what is still to become ripe is so at the end of a day.", reflect.TypeFor[byDayAnswer]()},
		{"ToCome", "What is still to become ripe, of the fruit that have set, on a plant or on some together. What is yet to set isn't in it, nor what is expected to be picked or lost before it is ripe. The weather, and what isn't known of a cultivar, moves all fruit together, so that the intervals of some plants aren't the sums of theirs.", reflect.TypeFor[toComeAnswer]()},
		{"ForecastBasis", "What a forecast rests on.", reflect.TypeFor[forecastBasis]()},
		{"CultivarForecast", "The forecast of a cultivar.", reflect.TypeFor[cultivarForecast]()},
		{"PlantForecast", "The forecast of a plant.", reflect.TypeFor[plantForecast]()},
		{"SeasonForecast", "The forecast of all plants together.", reflect.TypeFor[seasonForecast]()},
		{"ExpectedRange", "An expected number with its interval.", reflect.TypeFor[rangeAnswer]()},
		{"Pick", "A day to pick on.", reflect.TypeFor[pickAnswer]()},
		{"PickPlan", "What the picking plan was made for.", reflect.TypeFor[planAnswer]()},
		{"CountNext", "A plant whose count would sharpen the forecast.", reflect.TypeFor[countNextAnswer]()},
		{"Surprise", "A count that doesn't agree with what the counts before it lead to expect, or a picking or loss of more than can have hung.", reflect.TypeFor[surpriseAnswer]()},
		{"Forecast", "What will be ripe when, in a season.", reflect.TypeFor[forecastAnswer]()},
		{"NumberFit", "A number of a count, and what was expected of it.", reflect.TypeFor[numberFit]()},
		{"VisitFit", "How a count fits what was expected of it.", reflect.TypeFor[visitFit]()},
		{"FitSum", "How the counts of some plants fit together.", reflect.TypeFor[fitSum]()},
		{"PlantFit", "How the counts of a plant fit.", reflect.TypeFor[plantFit]()},
		{"FitBasis", "What fits rest on.", reflect.TypeFor[fitBasis]()},
		{"Misfit", "A count that is far from what was expected of it.", reflect.TypeFor[misfit]()},
		{"CultivarFit", "How the counts of a cultivar's plants fit.", reflect.TypeFor[cultivarFit]()},
		{"CountFits", "How the counts of a season fit the ripening model.", reflect.TypeFor[countFitAnswer]()},
		{"FirstSeen", "When something first was so, in days.", reflect.TypeFor[firstSeen]()},
		{"Horizon", "What was picked by a common day.", reflect.TypeFor[horizonAnswer]()},
		{"SeasonValue", "The marketable mass of a season, and what it is worth.", reflect.TypeFor[seasonValue]()},
		{"BBCHStage", "A growth stage on the BBCH scale for tomato.", reflect.TypeFor[bbchStage]()},
		{"Milestone", "When something first was so.", reflect.TypeFor[milestoneAnswer]()},
		{"WeekYield", "What was picked in one ISO week.", reflect.TypeFor[weekYield]()},
		{"PlantYield", "The yield of one plant.", reflect.TypeFor[plantYield]()},
		{"Mean", "A mean over plants.", reflect.TypeFor[meanAnswer]()},
		{"CultivarYield", "The yield of the plants of a cultivar: means over plants.", reflect.TypeFor[cultivarYield]()},
		{"Yield", "The yield of a season.", reflect.TypeFor[yieldAnswer]()},
		{"CauseOfLoss", "Fruit lost by one cause.", reflect.TypeFor[causeAnswer]()},
		{"WasteShare", "The wasted share of the fruit that ripened.", reflect.TypeFor[wasteShare]()},
		{"MassRange", "A mass with its interval.", reflect.TypeFor[massAnswer]()},
		{"WasteSum", "What became of fruit.", reflect.TypeFor[wasteSum]()},
		{"PlantWaste", "What became of the fruit of a plant.", reflect.TypeFor[plantWaste]()},
		{"CultivarWaste", "What became of the fruit of a cultivar, whole units included.", reflect.TypeFor[cultivarWaste]()},
		{"WeekWaste", "What was lost in one ISO week.", reflect.TypeFor[weekWaste]()},
		{"WasteInterval", "What picking at another interval would have lost.", reflect.TypeFor[intervalWaste]()},
		{"CostliestGap", "The time without a visit that cost most.", reflect.TypeFor[costliestGap]()},
		{"Waste", "What became of the fruit of a season that wasn't used.", reflect.TypeFor[wasteAnswer]()},
		{"Share", "A share with its interval.", reflect.TypeFor[shareAnswer]()},
		{"Span", "Days between which something lies.", reflect.TypeFor[spanAnswer]()},
		{"SeedlingsForSeeds", "What so many seeds in one spot give.", reflect.TypeFor[spotAnswer]()},
		{"PublishedEmergence", "Emergence by a published table.", reflect.TypeFor[publishedEmergence]()},
		{"GerminationLot", "How one sowing of a lot came up.", reflect.TypeFor[lotAnswer]()},
		{"Germinations", "How the lots of a season came up.", reflect.TypeFor[germinationAnswer]()},
		{"SyncOutcome", "The answer to one item of a sync.", reflect.TypeFor[syncOutcome]()},
		{"SyncAnswer", "The answer to a sync.", reflect.TypeFor[syncAnswer]()},
		{"BulkAnswer", "What became of the readings.", reflect.TypeFor[bulkAnswer]()},
		{"Health", "Whether the server answers.", reflect.TypeFor[health]()},
		{"Fault", "One thing that is wrong.", reflect.TypeFor[fault]()},
		{"Problem", "A refusal, as RFC 9457 has it.", reflect.TypeFor[problem]()},
	} {
		d.describe(c.name, c.about, c.of)
	}
	d.describeBodies()
	d.add("Document", &schema{types: []string{"object"}, about: "An OpenAPI document.", extra: &schema{}, example: object{{"openapi", "3.1.0"}}})
	return d
}

// describeKind adds a kind's record as it is answered, as it may be sent, and its list.
func (d *describer) describeKind(kind crop.Kind) {
	name, about := recordComponent(kind)
	own := d.fieldsOf(name, reflect.TypeOf(crop.New(kind)).Elem())
	if at := slices.IndexFunc(own, func(f field) bool { return f.name == momentField(kind) }); at >= 0 {
		own = slices.Insert(own, at+1, field{"time_known", true, d.words(name, "time_known", &schema{types: []string{"boolean"}})})
	}
	kept := slices.Clone(own)
	for _, f := range []struct {
		name     string
		required bool
		schema   *schema
	}{
		{"version", true, &schema{types: []string{"integer"}}},
		{"recorded_at", true, &schema{types: []string{"string"}, format: "date-time"}},
		{"recorded_by", true, &schema{types: []string{"string"}}},
		{"deleted", false, &schema{types: []string{"boolean"}}},
		{"warnings", false, &schema{types: []string{"array"}, items: &schema{types: []string{"string"}}}},
	} {
		kept = append(kept, field{f.name, f.required, d.words(name, f.name, f.schema)})
	}
	answer := &schema{types: []string{"object"}, fields: kept,
		about: about + " `warnings` is in answers to writes, `deleted` in histories."}
	answer.example = d.exampleOf(kept)
	d.add(name, answer)
	d.add(name+"Body", d.bodyOf(kind, name, about, own))
	d.add(name+"List", &schema{types: []string{"object"}, about: "A page of a list, or a history.", fields: []field{
		{"items", true, &schema{types: []string{"array"}, about: "The records.", most: nil, items: &schema{ref: name}}},
		{"next", true, &schema{types: []string{"string", "null"}, about: "The cursor of the next page; null on the last.", example: "WzE3NzAxMDY1MDAwMDAsIjAxOThiMmM0Il0"}},
	}, example: object{{"items", []any{answer.example}}, {"next", nil}}})
}

// bodyOf is a record as it may be sent: what isn't needed may be missing or null, a day alone will do for a moment, and
// what only answers have is passed over.
func (d *describer) bodyOf(kind crop.Kind, name, about string, own []field) *schema {
	var fields []field
	for _, f := range own {
		s := *f.schema
		doc, ok := fieldDocs[name+"."+f.name]
		need := ok && doc.need
		if f.name == momentField(kind) {
			s.format, s.anyOf = "", []*schema{{format: "date-time"}, {format: "date"}}
		}
		if kind == crop.Scales && f.name == "stages" {
			s.items = &schema{anyOf: []*schema{{types: []string{"string"}}, {ref: "StageBody"}}}
		}
		if kind == crop.Plants && f.name == "moves" {
			s.items = &schema{ref: "MoveBody"}
		}
		if s.extra != nil { // a null is a stage that was not counted
			s.extra = &schema{types: append(slices.Clone(s.extra.types), "null"), low: s.extra.low, high: s.extra.high, unit: s.extra.unit}
		}
		if !need && !s.nullable() {
			s.types = append(slices.Clone(s.types), "null")
		}
		fields = append(fields, field{f.name, need, &s})
	}
	fields = append(fields, field{"base_version", false, d.words(name, "base_version", &schema{types: []string{"integer", "null"}})})
	for _, only := range []string{"version", "recorded_at", "recorded_by", "deleted", "warnings"} {
		fields = append(fields, field{only, false, &schema{readOnly: true, about: "Accepted and ignored, so that an answer can be edited and sent back."}})
	}
	return &schema{types: []string{"object"}, fields: fields, about: about, example: jsontext.Value(bodyExamples[kind])}
}

// describeBodies adds what is only sent.
func (d *describer) describeBodies() {
	text := func() *schema { return &schema{types: []string{"string"}} }
	optional := func(component, name string, s *schema) field {
		s = d.words(component, name, s)
		s.types = append(s.types, "null")
		return field{name, false, s}
	}
	d.add("StageBody", &schema{types: []string{"object"}, about: "One step of a ripeness scale.", fields: []field{
		{"name", true, d.words("Stage", "name", text())}, optional("Stage", "description", text())},
		example: object{{"name", "yellow"}, {"description", "yellow all over"}}})
	d.add("MoveBody", &schema{types: []string{"object"}, about: "A change of place.", fields: []field{
		{"place_id", true, d.words("Move", "place_id", &schema{types: []string{"string"}, format: "uuid"})},
		{"on", true, d.words("Move", "on", &schema{types: []string{"string"}, format: "date"})}},
		example: object{{"place_id", examplePlace}, {"on", "2025-12-01"}}})

	item := []field{
		{"kind", true, d.words("SyncItem", "kind", text())},
		optional("SyncItem", "id", &schema{types: []string{"string"}, format: "uuid"}),
		{"record", false, d.words("SyncItem", "record", &schema{types: []string{"object", "null"}})},
		optional("SyncItem", "base_version", &schema{types: []string{"integer"}}),
		optional("SyncItem", "delete", &schema{types: []string{"boolean"}}),
	}
	example := object{{"kind", "counts"}, {"id", exampleID}, {"base_version", 0}, {"record", d.exampleFor(item[2].schema)}}
	d.add("SyncItem", &schema{types: []string{"object"}, fields: item, example: example,
		about: "One change: the record is made, or replaced, or deleted. Its id is made by the client."})
	d.add("SyncBody", &schema{types: []string{"object"}, about: "Changes of any kinds in any order.", fields: []field{
		{"items", true, &schema{types: []string{"array"}, about: "The changes.", most: new(mostItems), items: &schema{ref: "SyncItem"}}}},
		example: object{{"items", []any{example}}}})

	restore := []field{{"version", true, d.words("RestoreBody", "version", &schema{types: []string{"integer"}})},
		optional("RestoreBody", "base_version", &schema{types: []string{"integer"}})}
	d.add("RestoreBody", &schema{types: []string{"object"}, about: "Which version to go back to.", fields: restore, example: object{{"version", 1}}})

	reading := []field{
		optional("BulkReading", "place", text()), optional("BulkReading", "place_id", &schema{types: []string{"string"}, format: "uuid"}),
		{"measured_at", true, d.words("BulkReading", "measured_at", &schema{types: []string{"string"}, format: "date-time"})},
		{"air_c", true, d.words("BulkReading", "air_c", &schema{types: []string{"number"}})},
		optional("BulkReading", "id", &schema{types: []string{"string"}, format: "uuid"})}
	one := object{{"place", "balcony"}, {"measured_at", exampleTime}, {"air_c", 18.5}}
	d.add("BulkReading", &schema{types: []string{"object"}, about: "One reading, its place by name or by id.", fields: reading, example: one})
	list := &schema{types: []string{"array"}, about: "The readings.", most: new(mostReadings), items: &schema{ref: "BulkReading"}}
	d.add("BulkBody", &schema{about: "The readings, as a list or under items.", example: []any{one}, anyOf: []*schema{list,
		{types: []string{"object"}, fields: []field{{"items", true, list}}}}})
}
