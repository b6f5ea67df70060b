// Package setcover proves least-cost set covers: columns that together cover
// every row, of the least cost in all and, among the cheapest, the fewest. It
// knows rows and columns only.
//
// Solve proves cost and number at once, as one weight of which the cost outweighs
// the number; where that takes more than 20,000 nodes, the cost is proven alone
// before (solve.go).
//
// # Bounds
//
// Every row gets a multiplier, the price it would pay to be covered. A column that
// costs less than its rows would pay is worth taking, and what the prices do not
// explain is a bound on the cost of every cover (Lagrangian relaxation). All
// multipliers are whole multiples of one power of two, so no sum is ever rounded
// and a bound is a proof, wherever the multipliers come from. At the root they come
// from subgradient steps, deflected as Camerini, Fratta & Maffioli (1975) do
// (subgradient.go). What costs more than the gap to the best cover, or saves more,
// is ruled out or in by its reduced cost, and rows and columns that others dominate
// go (subproblem.go).
//
// For what is left, steps converge too slowly: a hundred of them leave a node 0.5
// to 2 units below its best bound, and half of the deep nodes are then branched on
// in vain. So the multipliers are the prices of the linear relaxation (simplex.go,
// simplex_pivot.go): a dual simplex method that starts from the parent's basis,
// keeps only the inverse of the columns in it and the rows they cover exactly, and
// chooses by the devex rule; its floating-point prices are rounded to whole quanta
// and their bound worked out exactly (relax.go).
//
// # Covers
//
// A greedy cover led by the reduced costs (Caprara, Fischetti & Toth 1999) and then
// a local search that makes uncovered rows weigh more (Gao, Weise & Li 2015) find a
// cover that is most often the best one within milliseconds (local_search.go).
//
// # The tree
//
// It is branched on one of the columns that the relaxation takes in part, the one
// whose two sides raise the bound most (branch.go). What a column did is kept in
// its pseudocost, each side is tried out the first time by thirty pivots, and a side
// whose trial passes the best cover settles the column at once. What remains of the
// tree is shared out in rounds of eight nodes, up to 250 nodes below each, and put
// together in their order (crew.go), so that cover and nodes are the same for all
// numbers of threads. When stopped it gives the best cover and the least bound
// still open.
//
// Literature: Beasley 1987, 1990; Balas & Carrera 1996; Caprara, Fischetti & Toth
// 1999.
package setcover
