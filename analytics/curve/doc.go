// Package curve fits ripening curves: how many fruit of a plant, or of the plants of a cultivar, have reached a ripeness
// stage by a day. Days are those of the calendar or, where temperature was read, standard days (clock.go).
//
// The observed value at a count is ever_reached of the ledger: fruit standing at or beyond the stage plus all that was
// picked or lost at or beyond it. A sigmoid f(x) = A·F(x) of the day x is fitted by weighted least squares; t10, t50 and
// t90 are the days at which it reaches a tenth, half and nine tenths of its own final level A.
//
// Least squares gives the estimate but not its error. ever_reached is a running total: every count carries the same fruit
// as the one before, so the errors of neighbouring counts are nearly the same error. The intervals here come from the
// increments instead (interval.go) and, from four plants on, from the differences between plants (jackknife.go); both are
// stretched where the counts stand off the shape of the family (misfit.go). Their coverage is tested by simulation.
//
// EventTimes fits the same families by the likelihood of the times at which fruit reached the stage (events.go): shares are then of all
// fruit that was set, and intervals those of the profile likelihood.
//
// A curve is refused where the records don't carry one (refuse.go), where fruit still comes so fast that the level isn't
// seen, and where there are two flushes (flushes.go).
package curve
