// Package ripening knows what hangs on each plant: how many fruit in each stage, how long they have been in it, and how long they will
// take to go on, from counts, pickings and losses.
//
// # Model
//
// A fruit stays in each stage for a gamma distributed time, counted in standard days: green fruit by the clock of growing, coloured fruit
// by that of colouring (package thermal), each rate raised to a power near one that the records may change. The plants of a cultivar share the
// means and the coefficients of variation; one factor a plant lengthens or shortens all its times. What is taken for granted about them before
// any record is the published times (PublishedPrior), or what earlier seasons of the cultivar told.
//
// # Filter
//
// A plant's fruit is kept as cohorts: those that entered their stage in one stretch of time, with a profile of when they did. Expected numbers m and
// their covariance P are carried from record to record:
//
//   - Time goes by: each fruit of a cohort stays or goes on with chances q by its residence time, given its age: m → F·m,
//     P → F·P·F' + Σ m (diag q − q·q'). Fruit set is taken to go on as lately, with a wide variance. Ripe fruit may fall unseen, the older
//     the likelier.
//   - Fruit is taken: from the cohorts of the stage in proportion, old ones first where ripe fruit was found fallen; what is left is conditioned on how many were taken.
//   - A count: a Kalman update with the multinomial variance of green fruit overlooked and of neighbouring stages confused. Counts of a
//     part have the variance of sampling trusses, counts given up are lower bounds. A count further off than chance explains weighs less, and is
//     named.
//
// One count already forecasts: before it fruit is taken to have set evenly, so that the green ones have every age. If it saw green fruit
// alone, when they began to set is anybody's guess.
//
// # Fit
//
// The parameters and the plants' factors are the mode of their posterior, found by Fisher scoring on the filter's innovations;
// their uncertainty is normal on the scale of logarithms and logits with the inverse information as covariance (Laplace). Derivatives are
// numerical, with the gains of the filter held. The parameters of a cultivar of many plants are fitted from 32 of them.
//
// Everything is deterministic: no number depends on chance or on how many processors there are.
package ripening
