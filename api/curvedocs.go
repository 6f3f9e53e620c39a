package api

import (
	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
)

// curveDocs are the fields of ripening curves.
var curveDocs = map[string]fieldDoc{
	"Curves.clock":   {about: "What a day is."},
	"Curves.method":  oneOf("How the curves are fitted; the parameter method says what each is.", []curve.Method{curve.LeastSquares, curve.EventTimes}, "least_squares"),
	"Curves.level":   number("The level of every interval of this answer.", "", 0, 1, curve.Level),
	"Curves.curves":  {about: "The fitted curves: cultivars by name, then plants by label, each by stage."},
	"Curves.refused": {about: "What can't be fitted, each with the reason, in the same order. A cultivar of which no plant was counted is in neither list."},
	"Curves.warnings": said("What concerns all curves, in plain sentences: what a day is and why, and which temperature readings it doesn't use.",
		[]string{"All days are calendar days, also those called standard_days, as asked for."}),
	"Clock.kind":        oneOf("`calendar`: days of 24 hours. `thermal`: standard days, the growing done in one day at `reference_c`.", []curve.ClockKind{curve.CalendarClock, curve.ThermalClock}, "thermal"),
	"Clock.reference_c": inUnit(said("The temperature at which a day is a standard day; null on the calendar clock.", 20), "°C"),

	"*.scope":            oneOf("Whose fruit: one plant's, or those of a cultivar's plants in the season, pooled, as fruit a plant.", []curve.Scope{curve.ScopePlant, curve.ScopeCultivar}, "plant"),
	"Curve.plant":        said("The plant's label; null for a cultivar.", "A1"),
	"Curve.plant_id":     said("The plant; null for a cultivar.", examplePlant),
	"CurveRefusal.plant": said("The plant's label; null for a cultivar.", "A1"),
	"Curve.days_from": said("Day 0: the start of the day of sowing, or of transplanting where the sowing isn't known, or of the first count where neither is, at the place where the plant "+
		"began; of a cultivar that of the earliest of the plants that were counted.", "2025-10-01T00:00:00+01:00"),
	"Curve.days_from_event": oneOf("What day 0 is the day of.", []string{"sowing", "transplanting", "the first count"}, "sowing"),
	"Curve.family":          said("The sigmoid: logistic, a/(1+exp(−k(x−t0))), or gompertz, a·exp(−exp(−k(x−t0))); x in days of the answer's clock since day 0.", "logistic"),
	"Curve.parameters": said("The fitted parameters by name: a in fruit (of a cultivar fruit a plant), k per day and t0 in days since day 0, of the answer's clock.",
		object{{"a", 24.6}, {"k", 0.12}, {"t0", 112.4}}),
	"Curve.standard_errors": said("The standard errors of the parameters, in the units of parameters; null where none can be stated. They come from the increments between counts or, of a cultivar of "+
		"four plants or more, from the differences between plants, not from least squares. With event_times a is counted and has none.", object{{"a", 1.1}, {"k", 0.02}, {"t0", 1.6}}),
	"Curve.t10": {about: "When the curve stands at a tenth of its own final level a; null, with a warning, where that is before the first count or after the last."},
	"Curve.t50": {about: "When it stands at half of a; null as t10 is."},
	"Curve.t90": {about: "When it stands at nine tenths of a; null as t10 is, and where fruit still came at a quarter of the fastest rate or more when the counts end."},
	"Curve.shares_of": oneOf("What the shares of t10, t50 and t90 are of: the level that the curve comes to, or with `event_times` all fruit that the plant set but those taken before the stage.",
		[]string{"fitted_level", "fruit_set"}, "fitted_level"),
	"Curve.aicc":       said("Akaike's criterion, corrected for small samples; lower is better, and only among the candidates of one curve. It may be negative.", 31.7),
	"Curve.candidates": {about: "The families that could be fitted, the best first, which is the one given here."},
	"Curve.points":     {about: "The fitted line with its band: 61 moments evenly spread, by the answer's clock, from the first count to the last."},
	"Curve.observed":   {about: "What it was fitted to: the mean of each round of counting, which is all counts within half a day."},
	"Curve.rests_on":   {about: "How much was recorded."},

	"Curve.t50_shrunken": {about: "A plant's t50 drawn towards the mean of its cultivar's plants, the more so the less its own counts tell and the more alike the plants are (empirical Bayes): nearer to the truth in the mean of many " +
		"plants, and the one to compare plants by. Null for a cultivar, and where fewer than four of its plants have a t50 with an interval."},
	"Shrunken.at":            said("The moment, to the minute.", "2026-01-20T21:12:00Z"),
	"Shrunken.standard_days": inUnit(said("The same in days of the answer's clock since day 0.", 103.2), "d"),
	"Shrunken.low":           inUnit(said("The lower end of its interval, in days of the answer's clock since day 0.", 101.3), "d"),
	"Shrunken.high":          inUnit(said("The upper end.", 105.2), "d"),
	"Shrunken.own_weight":    number("The weight of the plant's own t50; the rest is that of the mean.", "", 0, 1, 0.8),
	"Shrunken.mean":          inUnit(said("The mean t50 of the cultivar's plants, weighted by how sure each is.", 101.2), "d"),
	"Shrunken.plants_sd":     inUnit(said("The standard deviation of the plants' true t50, as estimated; 0 where they differ by no more than their errors explain.", 2.9), "d"),
	"Shrunken.plants":        from0("The plants that it rests on.", "plants", 8),

	"Crossing.at":            said("The moment, to the minute, in the zone of `days_from`.", "2026-01-21T09:36:00Z"),
	"Crossing.at_low":        said("The lower end of its interval as a moment; null as low is.", "2026-01-19T02:00:00Z"),
	"Crossing.at_high":       said("The upper end as a moment.", "2026-01-24T04:00:00Z"),
	"Crossing.days":          inUnit(said("The same in calendar days since day 0.", 112.4), "d"),
	"Crossing.standard_days": inUnit(said("The same in days of the answer's clock since day 0.", 103.7), "d"),
	"Crossing.clock_standard_error": inUnit(said("The standard error of `standard_days` that comes from the published rates behind the thermal clock; it is the same for all that ripened in the same time, and not in low and high. "+
		"Null on the calendar clock.", 2.1), "d"),
	"Crossing.low": inUnit(said("The lower end of its interval, in days of the answer's clock since day 0; null where none can be stated, and the curve's warnings say why. It may lie outside the days that were counted.",
		101.1), "d"),
	"Crossing.high":        inUnit(said("The upper end.", 106.4), "d"),
	"Crossing.level":       number("The level of the interval.", "", 0, 1, curve.Level),
	"Candidate.family":     said("The family.", "logistic"),
	"Candidate.aicc":       said("Its criterion.", 31.7),
	"Candidate.weight":     number("Its Akaike weight; the weights of the candidates add up to 1.", "", 0, 1, 0.83),
	"CurvePoint.at":        said("The moment.", exampleTime),
	"CurvePoint.value":     fruitFrom0("The curve: fruit, or of a cultivar fruit a plant.", 12.3),
	"CurvePoint.low":       fruitFrom0("The lower end of the band, which holds at each moment for itself; null where none can be stated.", 10.9),
	"CurvePoint.high":      fruitFrom0("The upper end.", 13.8),
	"ObservedPoint.at":     said("The mean moment of the round.", exampleTime),
	"ObservedPoint.value":  fruitFrom0("Fruit that had ever reached the stage: of the plant, or the mean of the plants of the round. A plant that was counted twice is in it once, with the later count.", 12),
	"ObservedPoint.plants": from0("How many plants the round has.", "plants", 1),
	"CurveBasis.visits":    from0("Counts that tell how many fruit had reached the stage, exactly; each plant's are counted.", "visits", 14),
	"CurveBasis.fruits":    fruitFrom0("Fruit known to have reached the stage: the highest such number of each plant, added up.", 25),
	"CurveBasis.plants":    from0("Plants with such counts.", "plants", 1),
	"CurveRefusal.code": oneOf("`insufficient_data`: too little was recorded, more counts would help; `no_fit`: the records don't carry a curve, such as two flushes or numbers that fall.",
		[]crop.Code{crop.InsufficientData, crop.NoFit}, "insufficient_data"),
	"CurveRefusal.reason": said("Why, in plain words.",
		"Only 3 rounds of counting tell how many fruit had reached red; a curve needs 6. Counts of every stage from red on tell it."),
	"CurveRefusal.plant_id": said("The plant; null for a cultivar.", examplePlant),
}
