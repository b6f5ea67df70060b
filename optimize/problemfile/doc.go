// Package problemfile reads and writes the files of the purchase problem: the
// problem and its plan as JSON, with every fault told by line, column and path,
// and the problem in CPLEX LP format for general mixed-integer solvers.
package problemfile
