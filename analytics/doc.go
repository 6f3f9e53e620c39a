// Package analytics is the map of what vinetally computes; its sub-packages do the work and are pure: no database, HTTP,
// clock or randomness that isn't handed in.
//
//	crop      the words and rules of the trade, and the loaded season (Trial)
//	ledger    accounts for every fruit of a plant and finds contradictions between records
//	pastripe  fruit left past ripe on the vine, by arithmetic
//	estimate  nonlinear least squares with the checks that make a fit believable
//	curve     ripening curves of a plant or a cultivar: points, fit, t10, t50, t90
//	report    every section of a season's or a plant's report
//
// Imports run downwards in this list's reverse: crop knows nobody, report knows all.
package analytics
