// Package faults tries to make the program lose what a painter entered, keep it
// twice or keep half of it: the program, a backend or the whole server is killed
// at random moments, connections are cut around the commit, many write at once,
// clocks run wrong and disks are full. It holds tests only.
//
// One oracle judges them all (ledger_test.go). Every command carries a note of
// its own, a token. A command that says it is done must be found stored, whole and
// once; one that says it failed must not be found; of one that was killed, or that
// says it does not know, either may be found, but whole and once. And the books
// must balance: what was drawn from the pots is what was acknowledged, and no
// squad has more figures painted than it has.
//
// go test runs a few tries of each fault, with HALFPOT_LONG=1 the whole dose; the
// numbers are printed, and kept in MEASURED.md; HALFPOT_DOSE=10 makes it a tenth. A run prints its seed, which
// HALFPOT_SEED repeats as far as the machine's own timing allows.
package faults
