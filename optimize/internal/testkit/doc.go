// Package testkit has what the tests of several rooms of the optimiser share:
// brute force over tiny problems, published instances with their optima, general
// solvers to compare with, and the switch for long doses. It imports no solver of
// ours, so that nothing in it can agree with one by sharing its code.
package testkit
