// Package hand learns the painter's hand from every reading of every pot: how
// much paint goes onto figures and how much is left on the palette, against
// what the tables say; what eye and scale misread; what goes unseen; and, from
// the same model, what is left in each pot and how sure it is that nothing runs
// short.
//
// [NewBook] reads a shelf and gives levels ([Book.Levels]) and the lesson
// ([Book.Lesson], told reading by reading by [Book.History]). Below it lies a
// model of values only: [FromRecord] turns a [Record] into a [Hand]; [Hand.Left]
// and [Hand.Next] are a pot and a job by it, [Hand.Draws] the ways the truth may
// be, which [Enough] and [Cover] count. MEASURED.md has what was simulated, what
// held, and where the model is known to fail.
//
// Nothing of this need be stored: it follows from the pots' events.
package hand
