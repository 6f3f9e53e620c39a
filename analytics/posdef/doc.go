// Package posdef solves and inverts symmetric positive definite matrices, such as the information of a likelihood (the negative of
// its second derivatives), by the Cholesky factor of gonum, and reads the covariances that come of it.
//
// A matrix is brought to a unit diagonal first, so that its condition number tells of dependence between columns and not of the
// units that they are in (van der Sluis 1969, Numer. Math. 14:14–23; reference from memory).
package posdef
