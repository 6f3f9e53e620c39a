// Package ordinal fits how fruit move through ordered stages: cumulative link models, with one slope for all stages or one for
// each (McCullagh 1980, J. R. Stat. Soc. B 42:109–142), and the sequential model (Tutz 1991, Comput. Stat. Data Anal. 11:275–295).
//
// It knows numbers only: rows of covariates with counts by stage. A stage that no fruit was ever seen in carries no information
// about the cuts on its two sides; it is left out of the fit and named.
package ordinal
