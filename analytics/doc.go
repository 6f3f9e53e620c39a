// Package analytics is the map of what vinetally computes; its sub-packages do the work and are pure: no database, HTTP,
// clock or randomness that isn't handed in.
//
//	crop         the words and rules of the trade, and the loaded season (Trial)
//	proportion   shares and their intervals
//	sampling     totals from counts of a part
//	countdist    distributions of a number of fruit
//	ripetime     chances of single fruit to be ripe by a day
//	posdef       positive definite matrices, solved and inverted
//	glm          binomial and Poisson regression, with overdispersion
//	ordinal      models of ordered stages
//	stagefrequency  when fruit pass from stage to stage, from shares alone
//	survival     times known between two looks
//	isotonic     numbers that can only rise
//	estimate     nonlinear least squares with the checks that make a fit believable
//	thermal      temperature readings to standard days and degree-days
//	ledger       accounts for every fruit of a plant and finds contradictions between records
//	pastripe     fruit left past ripe on the vine, by arithmetic
//	curve        ripening curves of a plant or a cultivar: points, fit, t10, t50, t90
//	germination  how lots of seed came up
//	phenology    milestones of a plant, growth stages
//	yield        what was picked, how soon and how heavy
//	waste        what became of fruit that wasn't used
//	simulate     trials whose every fruit is known, to judge models on
//	report       every section of a season's or a plant's report
//
// Imports run downwards in this list's reverse: crop knows nobody, report knows all.
package analytics
