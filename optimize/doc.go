// Package optimize is the contract of the purchase problem: what is asked, what
// is answered, and how an answer is checked.
//
// A Problem says what is on the shelf, what is needed, in which alternative
// ways, and what shops sell at which price and delivery charge. A Result is a
// plan with how far it is proven, or the reasons why there is none. Validate
// says whether a problem can be asked at all. Check recomputes a plan from the
// problem's data alone: it can't import a solver, and shares no code with one.
//
// The package knows boxes, needs and money and nothing else, and does no I/O.
// The rooms below it read and write problems (problemfile), make them up
// (generate) and solve them (exact, and setcover for what is nothing but
// covering).
package optimize
