package api

import (
	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
)

// curveDocs are the fields of ripening curves.
var curveDocs = map[string]fieldDoc{
	"Curves.clock":    {about: "What a day is."},
	"Curves.level":    number("The level of every interval of this answer.", "", 0, 1, curve.Level),
	"Curves.curves":   {about: "The fitted curves."},
	"Curves.refused":  {about: "What can't be fitted, each with the reason."},
	"Curves.warnings": said("What concerns all curves, in plain sentences.", []string{calendarWarning}),
	"Clock.kind":      oneOf("calendar: days of 24 hours.", []string{"calendar"}, "calendar"),

	"*.scope":               oneOf("Whose fruit: one plant's, or those of a cultivar's plants, pooled, as fruit a plant.", []curve.Scope{curve.ScopePlant, curve.ScopeCultivar}, "plant"),
	"Curve.plant":           said("The plant's label; null for a cultivar.", "A1"),
	"Curve.plant_id":        said("The plant; null for a cultivar.", examplePlant),
	"CurveRefusal.plant":    said("The plant's label; null for a cultivar.", "A1"),
	"Curve.days_from":       said("Day 0: the start of the day of sowing, or of transplanting where the sowing isn't known, of the earliest of the plants.", "2025-10-01T00:00:00+01:00"),
	"Curve.days_from_event": said("What day 0 is.", "sowing"),
	"Curve.family":          said("The sigmoid: logistic, a/(1+exp(−k(x−t0))), or gompertz, a·exp(−exp(−k(x−t0))); x in days since day 0.", "logistic"),
	"Curve.parameters": said("The fitted parameters by name: a in fruit (of a cultivar fruit a plant), k per day, t0 in days since day 0.",
		object{{"a", 24.6}, {"k", 0.12}, {"t0", 112.4}}),
	"Curve.standard_errors": said("The standard errors of the parameters; null where none can be stated.", object{{"a", 1.1}, {"k", 0.02}, {"t0", 1.6}}),
	"Curve.t10":             {about: "When the curve stands at a tenth of its own final level; null outside the days that were counted."},
	"Curve.t50":             {about: "When it stands at half of it."},
	"Curve.t90":             {about: "When it stands at nine tenths of it."},
	"Curve.shares_of":       oneOf("What the shares of t10, t50 and t90 are of.", []string{"fitted_level"}, "fitted_level"),
	"Curve.aicc":            said("Akaike's criterion, corrected for small samples; lower is better among the candidates.", 31.7),
	"Curve.candidates":      {about: "The families that were tried."},
	"Curve.points":          {about: "The fitted line with its band."},
	"Curve.observed":        {about: "The daily means it was fitted to."},
	"Curve.rests_on":        {about: "What it rests on."},

	"Crossing.at":            said("The moment.", "2026-01-21T10:00:00Z"),
	"Crossing.standard_days": said("The same in days since day 0; calendar days as yet.", 112.4),
	"Crossing.low":           said("The lower end of its interval, in days since day 0; null where none can be stated.", 109.8),
	"Crossing.high":          said("The upper end.", 115.1),
	"Crossing.level":         number("The level of the interval.", "", 0, 1, curve.Level),
	"Candidate.family":       said("The family.", "logistic"),
	"Candidate.aicc":         said("Its criterion.", 31.7),
	"Candidate.weight":       number("Its Akaike weight.", "", 0, 1, 0.83),
	"CurvePoint.at":          said("The moment.", exampleTime),
	"CurvePoint.value":       fruitFrom0("The curve: fruit, or fruit a plant.", 12.3),
	"CurvePoint.low":         said("The lower end of the band; null where none can be stated.", 10.9),
	"CurvePoint.high":        said("The upper end.", 13.8),
	"ObservedPoint.at":       said("The moment.", exampleTime),
	"ObservedPoint.value":    fruitFrom0("Fruit that had reached the stage: of one plant, or the mean of the plants.", 12),
	"ObservedPoint.plants":   from0("How many plants were counted.", "plants", 1),
	"CurveBasis.visits":      from0("Visits with a known number.", "visits", 14),
	"CurveBasis.fruits":      fruitFrom0("Fruit.", 25),
	"CurveBasis.plants":      from0("Plants.", "plants", 1),
	"CurveRefusal.code":      oneOf("insufficient_data: too little was recorded; no_fit: the records don't carry a curve.", []crop.Code{crop.InsufficientData, crop.NoFit}, "insufficient_data"),
	"CurveRefusal.reason":    said("Why, in plain words.", "Only 3 visits have a known number; a curve needs 6."),
	"CurveRefusal.plant_id":  said("The plant; null for a cultivar.", examplePlant),
}
