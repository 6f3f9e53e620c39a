// Package estimate fits curves to points by weighted nonlinear least squares and says when a fit must not be believed.
//
// It knows float64 alone: no fruit, no plants, no dates. Callers turn its typed errors (TooFew, NoFit, Invalid) into
// their own words.
//
//	fit, err := estimate.FitCurve(estimate.Logistic{}, estimate.Data{X: days, Y: fruit})
//
// FitCurve starts from several points that the family reads off the data, fits from each of them, and returns a fit only
// if the checks of converge.go hold. LeastSquares is the bare fit from one start, Search the checked fit of any Model from
// given starts.
//
// Method: Levenberg–Marquardt steps on the QR factors of the augmented, column-scaled Jacobian, then Gauss–Newton steps
// until the scaled gradient stops falling (rounding level). Nothing is random; the same input gives the same bits.
//
// The standard errors are those of independent errors with one variance, s²·(JᵀWJ)⁻¹. For cumulative counts of the same
// plants they are far too small, since the errors add up along the curve; Jacobian, Weights and Residuals are there so
// that a caller can build a covariance that allows for it.
//
// Precision: about 10–11 digits on the parameters of the NIST StRD problems in the tests, in float64 throughout. gonum's optimize is
// not used, since on NIST Rat43 it reports convergence on the flat line through the mean; the regression test of that case is in nist_test.go.
package estimate
