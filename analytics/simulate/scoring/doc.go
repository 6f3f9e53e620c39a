// Package scoring judges forecasts of newly ripe fruit on simulated trials: by the mean pinball loss over nineteen quantiles, by
// how often intervals hold the truth, and by where the truth falls in the forecast distribution (randomised probability integral
// transform; Czado, Gneiting and Held 2009, Biometrics 65:1254–1261).
//
// Every forecaster is put beside two others: Naive knows no ripening, Bound knows everything but chance.
package scoring
