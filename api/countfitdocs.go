package api

// countFitDocs are the fields of how counts fit the ripening model.
var countFitDocs = map[string]fieldDoc{
	"CountFits.cultivars":        {about: "The cultivars of the season, in the order of their first plants."},
	"CountFits.plants":           {about: "The plants that were counted, by label."},
	"CultivarFit.fit":            {about: "All counts of its plants together."},
	"PlantFit.fit":               {about: "All its counts together."},
	"PlantFit.visits":            {about: "Its counts, the oldest first, but for the first, before which there is nothing but a guess, and others after 60 days without a record."},
	"FitSum.counts":              from0("How many counts there are.", "1", 38),
	"FitSum.numbers":             from0("How many numbers they have in all.", "1", 152),
	"FitSum.squared_a_number":    from0("The squared deviation in standard deviations, a number: up to about 1 if the model holds (0.4 to 0.6 in simulated trials, where in most stages none are expected and seen), more the worse they fit; null without counts. One slip may make it large.", "1", 0.48),
	"FitSum.unlikely":            from0("How many counts are as far off as one in twenty is by chance.", "1", 2),
	"VisitFit.visit_id":          said("The count.", exampleID),
	"VisitFit.counted_at":        said("When it was made.", exampleTime),
	"VisitFit.numbers":           {about: "What was seen in each stage that was counted, and in all together where only that was."},
	"VisitFit.squared_deviation": from0("How far all its numbers together are from what was expected, squared, in standard deviations: about χ² with as many degrees of freedom as there are numbers.", "1", 3.1),
	"VisitFit.chance":            number("The chance of a count at least so far off, by that distribution; rough where few fruit are expected.", "1", 0, 1, 0.54),
	"NumberFit.stage":            said("The stage; null for all together.", "red"),
	"NumberFit.seen":             fruitFrom0("Fruit seen, on the trusses that were looked at.", 9),
	"NumberFit.expected":         fruitFrom0("Fruit expected to be seen by the records before the count, with the parameters that the whole season tells.", 7.6),
	"NumberFit.sd":               fruitFrom0("The standard deviation of that number.", 1.9),
}
