package refcheck

import (
	"maps"
	"slices"
)

// owners tells which package checks which method. It is the list of the methods that the product has: a package adds a
// line in the change in which its test learns the method. Run refuses handlers that don't match it, so that the count of
// the methods still missing is right in every package's test.
var owners = map[string]string{
	"nonlinear least squares":                "analytics/estimate",
	"nonlinear least squares (growth curve)": "analytics/estimate",
	"growth-model comparison (AICc weights)": "analytics/estimate",

	"degree-days from daily minimum and maximum":           "analytics/thermal",
	"degree-day accumulation":                              "analytics/thermal",
	"linear regression of development rate on temperature": "analytics/thermal",
	"common base temperature across starting stages":       "analytics/thermal",
	"monotone piecewise-cubic (PCHIP) interpolation":       "analytics/thermal",

	"confidence interval for a proportion":    "analytics/proportion",
	"difference of two proportions":           "analytics/proportion",
	"Student t, chi-squared, F, beta, normal": "analytics/proportion",

	"binomial regression (logit link) with quasi-binomial SEs":  "analytics/glm",
	"binomial regression (probit link) with quasi-binomial SEs": "analytics/glm",
	"Poisson regression (log link)":                             "analytics/glm",
	"exact Poisson rate and rate ratio":                         "analytics/glm",
	"beta-binomial regression (logit)":                          "analytics/glm",
	"negative binomial regression (NB2, log link)":              "analytics/glm",

	"cumulative link model (proportional odds type)":  "analytics/ordinal",
	"cumulative link model without proportionality":   "analytics/ordinal",
	"cumulative link model with an unobserved stage":  "analytics/ordinal",
	"sequential (continuation-ratio, stopping) model": "analytics/ordinal",

	"interval-censored parametric survival (AFT)":    "analytics/survival",
	"Turnbull nonparametric MLE (interval-censored)": "analytics/survival",
	"Kaplan-Meier":  "analytics/survival",
	"log-rank test": "analytics/survival",

	"event-time statistics of counts per day (germination indices)": "analytics/germination",

	"isotonic regression (pool adjacent violators)": "analytics/isotonic",

	"total from a simple random sample": "analytics/sampling",
	"total from a stratified sample":    "analytics/sampling",
	"total from sampled clusters":       "analytics/sampling",
	"ratio estimator of a total":        "analytics/sampling",

	"removal (depletion) estimate of a total": "analytics/sampling",
	"two-observer (Chapman) estimator":        "analytics/sampling",

	"Poisson distribution":                                     "analytics/countdist",
	"negative binomial distribution (mean mu, size theta)":     "analytics/countdist",
	"Poisson-binomial distribution (sum of unequal Bernoulli)": "analytics/countdist",

	"gamma and Erlang distribution":                                       "analytics/ripetime",
	"forecast of ripe fruit (independent fruit, conditional gamma times)": "analytics/ripetime",
	"probability that a red fruit is past ripe":                           "analytics/ripetime",
	"stage chain with exponential stage times (hypoexponential)":          "analytics/ripetime",

	"stage-frequency model (logistic, variance proportional to time)": "analytics/stagefrequency",
	"stage-frequency model (constant variance)":                       "analytics/stagefrequency",
}

// ownedBy returns the methods of a package, sorted.
func ownedBy(owners map[string]string, pkg string) []string {
	var methods []string
	for _, m := range slices.Sorted(maps.Keys(owners)) {
		if owners[m] == pkg {
			methods = append(methods, m)
		}
	}
	return methods
}
