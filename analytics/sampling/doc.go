// Package sampling estimates a total from counts of a part: some trusses out of all, some plants of a bed; or from counts that
// overlook some fruit, by passes that take what they find (Passes) and by two observers of the same fruit (Observed).
//
// The formulas of parts are those of Cochran (1977), Sampling Techniques, 3rd ed.: chapter 2 (simple random sample), 5 (strata), 6 (ratio),
// 9A (clusters). The part must have been drawn at random or every so many from a random start. Of what was easiest to reach
// they tell nothing about the rest, and their intervals don't hold.
package sampling
