package api

import (
	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// fruitByStage is an object with a number of fruit for each stage of the scale.
func fruitByStage(about string, numbers ...any) fieldDoc {
	return fieldDoc{about: about, unit: "fruit", low: new(0.0), example: byStageExample(numbers...)}
}

func fruitFrom0(about string, example any) fieldDoc { return from0(about, "fruit", example) }

// answerDocs are the fields of answers other than records and curves.
var answerDocs = map[string]fieldDoc{
	"Health.status": said("alive or ready.", "ready"),

	"Problem.type":      said("The kind of problem: the address of its explanation.", "/problems/invalid-record"),
	"Problem.title":     said("The kind of problem in words.", "The record can't be kept as it is"),
	"Problem.status":    number("The HTTP status.", "", 400, 599, 422),
	"Problem.detail":    said("What is wrong this time and how to mend it.", "the record is refused: counts/red is -3; it must be 0 to 100000 fruit"),
	"Problem.errors":    {about: "Everything found wrong, of a body with many records the first 50."},
	"Problem.reference": said("Finds the matching line of the server's log.", "KLLIFLWODN5ZFIV5JVBM3TRKX4"),
	"Fault.pointer":     said("Where in the body, as a JSON pointer (RFC 6901); empty for the body as a whole.", "/counts/red"),
	"Fault.parameter":   said("The parameter or header that is wrong.", "limit"),
	"Fault.line":        number("The line of a CSV body, the header being 1.", "", 1, largestWhole, 2),
	"Fault.column":      said("The column of a CSV body.", "air_c"),
	"Fault.detail":      said("The value, the rule and how to mend it.", "is -3; it must be 0 to 100000 fruit"),

	"SyncAnswer.items":     {about: "One answer for each item, in the order sent."},
	"SyncAnswer.warnings":  said("What concerns the request as a whole, in plain sentences.", []string{}),
	"SyncOutcome.version":  number("The record's version now.", "", 1, largestWhole, 1),
	"SyncOutcome.deleted":  said("True if the record is deleted now.", false),
	"SyncOutcome.warnings": said("What the sender may not expect of this item, in plain sentences.", []string{}),
	"BulkAnswer.readings":  from0("How many readings the request had.", "readings", 144),
	"BulkAnswer.created":   from0("How many were new.", "readings", 100),
	"BulkAnswer.replaced":  from0("How many took the place of another value, with replace=true.", "readings", 0),
	"BulkAnswer.unchanged": from0("How many were stored already.", "readings", 44),

	"Ledger.scale":                       said("The stages of the plant's scale, from unripe to ripe.", []string{"green", "breaker", "turning", "red"}),
	"Ledger.visits":                      {about: "Every visit, the oldest first."},
	"Ledger.since_last_count":            {about: "What was taken after the last count."},
	"Ledger.totals":                      {about: "The sums."},
	"Ledger.contradictions":              {about: "Where the records can't all be right, by time."},
	"LedgerVisit.visit_id":               said("The count; of several rows of one time the first.", exampleID),
	"LedgerVisit.visit_ids":              said("All rows that were counted at this time; they are one visit.", []string{exampleID}),
	"LedgerVisit.counted_at":             said("When, in the zone of the place where the plant stood; noon for a day alone.", exampleTime),
	"LedgerVisit.coverage":               said("What the count covers: whole alone, or any of trusses (only some of them), stages (only some), at_least (given up), about (a glance, of which nothing is computed).", []string{ledger.Whole}),
	"LedgerVisit.standing":               fruitByStage("Fruit standing at each stage; null where the count leaves it open.", 12, 3, 1, 2),
	"LedgerVisit.standing_at_least":      fruitByStage("Lower bounds of standing, wherever standing is null; the same number where it is known.", 12, 3, 1, 2),
	"LedgerVisit.ever_reached":           fruitByStage("Fruit that ever reached each stage: standing there or beyond, plus what was picked or lost there or beyond before this count; null where not known.", 25, 13, 10, 9),
	"LedgerVisit.ever_reached_at_least":  fruitByStage("Lower bounds of ever_reached: the same number where it is known, elsewhere the largest bound since it was last known.", 25, 13, 10, 9),
	"LedgerVisit.picked":                 fruitByStage("Picked by stage since the count before: picking at that count's time is in it, picking at this one's is not, unless before_count says otherwise; the first visit has all before. Fruit weighed and not counted, or of no plant in particular, is not in it.", 0, 0, 0, 4),
	"LedgerVisit.lost":                   fruitByStage("Lost by stage since the count before: loss found at this count's time is in it, that at the count before is not. Thinned and cleared fruit goes by the rule of picked.", 0, 0, 0, 1),
	"LedgerVisit.unaccounted":            fruitByStage("Fruit at or beyond each stage that this visit found gone without a picking or loss, at least, beyond what was missed before. A miscount looks like it: see contradictions.", 1, 1, 1, 1),
	"LedgerVisit.at_or_beyond":           fruitByStage("Fruit standing at or beyond each stage; null where not known. It may be known where standing is not, from a total.", 18, 6, 3, 2),
	"LedgerVisit.at_or_beyond_at_least":  fruitByStage("Lower bounds of at_or_beyond; the same number where it is known.", 18, 6, 3, 2),
	"LedgerVisit.doubted":                said("The stages at or beyond which a later count has fewer than a miscount explains, measured from this one: fruit went without a record, or one of the two is wrong. No lower bound of the totals rests on such a count alone.", []string{"red"}),
	"LedgerTaken.picked":                 fruitByStage("Picked, by stage; fruit weighed and not counted, or of no plant in particular, is not in it.", 0, 0, 0, 2),
	"LedgerTaken.lost":                   fruitByStage("Lost, by stage; fruit of no plant in particular is not in it.", 0, 0, 0, 0),
	"LedgerTotals.set_at_least":          fruitFrom0("Fruit the plant has set, at least: the most that a count accounts for as standing, picked or lost, if no later count contradicts it or another bears it out.", 25),
	"LedgerTotals.taken_in_doubt":        fruitFrom0("Fruit of pickings and losses that take more than had been counted, beyond what a miscount explains: in picked and lost as recorded, not in set_at_least.", 0),
	"LedgerTotals.standing":              fruitFrom0("Fruit standing now: the last count less what was taken since, 0 once the plant is removed; null where not known, as after more was picked than stood.", 16),
	"LedgerTotals.standing_at_least":     fruitFrom0("A lower bound of standing.", 16),
	"LedgerTotals.picked":                fruitFrom0("Fruit picked, of known number and surely of this plant.", 7),
	"LedgerTotals.picked_marketable":     fruitFrom0("Of these, marketable.", 6),
	"LedgerTotals.picked_cull":           fruitFrom0("Of these, cull.", 1),
	"LedgerTotals.lost":                  fruitFrom0("Fruit lost, surely of this plant.", 2),
	"LedgerTotals.lost_by_cause":         {about: "Fruit lost, by cause; causes that occurred.", unit: "fruit", low: new(0.0), example: object{{"split", 2}}},
	"LedgerTotals.unaccounted":           fruitFrom0("Fruit missing at the last count without a picking or loss, at least: over the stages the largest of the highest ever_reached so far, known or at least, less the last. Not the sum of the visits' unaccounted, which adds up miscounts.", 1),
	"LedgerTotals.pickings_weighed_only": from0("Pickings whose fruit were weighed and not counted.", "pickings", 0),
	"LedgerTotals.unit_fruit":            fruitFrom0("Fruit of pickings and losses of no plant in particular, of which none to all are of this plant.", 0),
	"LedgerTotals.left_at_removal":       fruitFrom0("What stood when the plant was removed and was neither picked nor cleared on record; null where it wasn't removed, or where what stood isn't known.", 0),
	"LedgerTotals.balance":               {about: "The account of the season at or beyond each stage, every record at its word, for the stages of which all is known. Each closes: ever_reached is standing, picked, lost, unaccounted and left_at_removal together."},
	"LedgerBalance.stage":                said("The stage; the fruit meant is at or beyond it.", "green"),
	"LedgerBalance.ever_reached":         fruitFrom0("Fruit that ever reached the stage, those that are missing included.", 26),
	"LedgerBalance.standing":             fruitFrom0("Left of the last count; 0 once the plant is removed.", 16),
	"LedgerBalance.picked":               fruitFrom0("Picked, in all.", 7),
	"LedgerBalance.lost":                 fruitFrom0("Lost, in all.", 2),
	"LedgerBalance.unaccounted":          fruitFrom0("Missing at the last count: the largest net shortfall of this stage and those beyond it.", 1),
	"LedgerBalance.left_at_removal":      fruitFrom0("What stood when the plant was removed and was neither picked nor cleared on record.", 0),
	"LedgerContradiction.code": oneOf("fewer_than_expected: less is accounted for than at a count before. fewer_than_seen: the same, against an unfinished count that had seen more. "+
		"picked_more_than_stood: more was taken than the count before it can have left. standing_after_removal, taken_after_removal: fruit of a plant that was gone. counts_disagree: two counts at one time.",
		[]string{ledger.FewerThanExpected, ledger.FewerThanSeen, ledger.PickedMoreThanStood, ledger.StandingAfterRemoval, ledger.TakenAfterRemoval, ledger.CountsDisagree}, ledger.FewerThanExpected),
	"LedgerContradiction.visit_id":         said("The count it showed at; null if it showed at none.", exampleID),
	"LedgerContradiction.at":               said("The moment of that count, or of the record in question.", exampleTime),
	"LedgerContradiction.stage":            said("The stage; the fruit meant is at or beyond it.", "red"),
	"LedgerContradiction.fruits":           fruitFrom0("How many fruit the records are apart.", 1),
	"LedgerContradiction.allowance":        fruitFrom0("How many may be missed or counted twice by chance: what two careful counts of so many fruit may differ by, or less where the counts around bear the fall out.", 2),
	"LedgerContradiction.within_allowance": said("True if fruits is not above allowance: nothing need be wrong.", true),
	"LedgerContradiction.detail": said("What, the numbers, the dates, how to mend it.", "The count of 2026-02-03 has 1 red fruit fewer than expected: after the count of 2026-01-31 at least 10 should be standing, picked or lost, and 9 are. "+
		"If fruit was picked or lost between 2026-01-31 and 2026-02-03, add the picking or loss; otherwise one of the counts is off, correct it. Two careful counts may differ by up to 2, so nothing need be wrong."),

	"PastRipe.hold_days":                    number("The hold time asked for, in calendar days; null where each cultivar's own was taken, which every plant tells.", "d", 0.25, 365, 7),
	"PastRipe.plants":                       {about: "Every plant of the season that was there by as_of, by label, also those without ripe fruit."},
	"PastRipe.season":                       {about: "All plants together."},
	"PastRipePlant.standing_ripe":           fruitFrom0("Fruit at the ripe stage or beyond at the last count, less what was taken of it since; null where not known. What ripened after the last count is not in it.", 5),
	"PastRipePlant.standing_ripe_at_least":  fruitFrom0("A lower bound of standing_ripe.", 5),
	"PastRipePlant.certain":                 fruitFrom0("Fruit that have certainly hung ripe for the hold time or longer, at least, whatever was picked first. Arithmetic, no model; it rests on the records being complete.", 2),
	"PastRipePlant.expected":                {about: "What a ripening model expects; null, there is none yet."},
	"PastRipePlant.longest_days":            from0("How long the oldest ripe fruit on the plant can have hung ripe, at most, in days of 24 hours; null where none hangs, and where it may have hung since before the first count.", "d", 9.4),
	"PastRipeSeason.standing_ripe":          fruitFrom0("Ripe fruit on the vines; null unless it is known of every plant.", 31),
	"PastRipeSeason.standing_ripe_at_least": fruitFrom0("A lower bound of standing_ripe.", 31),
	"PastRipeSeason.certain":                fruitFrom0("Fruit certainly past ripe: the sum of the plants', so at least. Fruit taken from no plant in particular was deducted from every plant it may be of.", 6),
	"PastRipeSeason.plants_certain":         from0("How many plants have such fruit.", "plants", 3),
	"PastRipeSeason.expected":               {about: "What a ripening model expects; null, there is none yet."},
	"ExpectedRipe.mean":                     fruitFrom0("The mean.", 3.1),
	"ExpectedRipe.low":                      fruitFrom0("The lower end of the 90 % interval.", 2),
	"ExpectedRipe.high":                     fruitFrom0("The upper end.", 5),

	"SyncItem.id":             said("The record's id; it may stand in the record instead.", exampleID),
	"SyncItem.record":         said("The record with the fields of its kind. Not needed to delete.", object{{"plant_id", examplePlant}, {"counted_at", exampleTime}, {"counts", byStageExample(12, 3, 1, 2)}}),
	"SyncItem.delete":         said("True to delete the record; base_version is then needed.", false),
	"RestoreBody.version":     number("The version to go back to.", "", 1, largestWhole, 1),
	"BulkReading.place":       text("The place by its name, instead of place_id.", crop.MaxName, "balcony"),
	"BulkReading.place_id":    said("The place by its id.", examplePlace),
	"BulkReading.id":          said("Accepted and ignored: a reading is known by its place and time.", exampleID),
	"BulkReading.measured_at": needed(said("When, with an offset; once for each place.", exampleTime)),
	"BulkReading.air_c":       needed(number("Temperature of the air.", "°C", -273.15, 1000, 18.5)),
}
