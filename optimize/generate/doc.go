// Package generate makes purchase problems up, of every size and with what
// makes real orders hard in them, to measure and to check solvers with. The
// same seed and shape always give the same problem.
package generate
