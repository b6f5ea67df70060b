// Package lp solves linear programs whose data are whole numbers: minimise
// cost·x where every column x_j and every row a_i·x lies between two bounds.
//
// The method is the bounded dual simplex method. A basis is kept as a sparse
// LU factorisation (pivots by Markowitz's rule) with product-form updates. What
// leaves is chosen by dual devex (Forrest & Goldfarb 1992), what enters by a ratio
// test that goes on through columns which can go over to their other bound (bound
// flipping) and lets reduced costs slip a little for a larger pivot (Harris 1973).
// Costs are shifted a little against ties; the shifts are taken back before an answer
// counts. A solve goes on from the basis of the one before, after bounds have changed,
// rows have come or rows have gone. One that stands still, or whose pivots do not fit, is
// tried once more from the logicals and then ends with Trouble.
//
// Where every column is boxed, as in all relaxations of whole-number problems,
// each basis can be made dual feasible by putting columns at their other bound,
// so there is no first phase. Columns without a bound get one (artificial bounds,
// see phase.go).
//
// Floating point finds the answer, whole numbers prove it. Certificate turns any
// prices into a bound that holds whatever went wrong before (Neumaier &
// Shcherbina 2004): prices are rounded to whole multiples of a power of two,
// reduced costs are then exact, and each column is charged the least its
// reduced cost can come to within its bounds.
//
// Rounding strengthens a row by mixed integer rounding, BasisRows rounds rows of the
// simplex tableau (Gomory 1960), and Disjunctive makes a row of what the leaves of a
// search have in common (Balas 1979), all in whole numbers throughout, so that no row
// ever cuts off a whole-number point.
//
// solver.go holds program and basis; dual.go runs the method, dual_run.go makes its
// iterations (ratio.go, factor.go), mark.go tries bounds out; safe.go proves, in the
// sums of wide.go.
//
// The package knows rows and columns and nothing else. It is deterministic:
// the same calls give the same answers.
package lp
