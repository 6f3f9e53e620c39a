// Package ripetime holds the chances of single fruit: to be ripe by a day when it has waited in its stage for some days, to have
// turned ripe on a day between two looks, and to be in each stage of a chain.
//
// Times are in days, on whichever clock the caller uses. Laws are gonum's distuv.Gamma and distuv.Weibull, whose parameters must be
// finite and above 0.
package ripetime
