// Package glm fits generalised linear models of counts and of shares: binomial and Poisson regression by iteratively
// reweighted least squares (McCullagh and Nelder 1989, Generalized Linear Models, 2nd ed., chapter 2), with the dispersion that the data
// show beside the one that the family has; and beta-binomial and negative binomial regression by maximum likelihood.
//
// It knows numbers only. A model that the data can't carry (a column that others add up to, or shares that a line separates
// completely) is refused, since its coefficients would be without end.
package glm
