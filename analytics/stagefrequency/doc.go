// Package stagefrequency tells from the shares of stages alone, seen at a few times, when the fruit pass from stage to stage: the
// stage-frequency model of Dennis, Kemp and Beckwith (1986, Environ. Entomol. 15:540–546) and its form with a constant variance (Candy 1991,
// Environ. Entomol. 20:190–195).
//
// A fruit's development is the time t with an error of mean 0 whose variance grows with t, or is constant; it is past stage j when that
// exceeds a_j:
//
//	P(stage ≤ j at t) = F((a_j − t)/√(b²·t)) or F((a_j − t)/√b²)
//
// It needs no totals, and so serves where only shares are known; where every fruit is accounted for, the models that
// follow the fruit know more. It takes the fruit of a visit as independent, and none as entering or leaving in between but by their stage.
//
// In θ_j = a_j/b and β = 1/b the model is linear under the link, its log-likelihood is concave for the links of package ordinal, which
// fits it, and the covariance of a and b² follows by the delta method, which for the inverse of the observed information at
// the maximum is the same as to invert the information of a and b².
package stagefrequency
