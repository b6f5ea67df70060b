// Package optimize finds the cheapest purchase for a painting plan and proves
// that none is cheaper.
//
// A Problem says what is on the shelf, what is needed, in which alternative
// ways, and what shops sell at which price and delivery charge. Solve finds a
// plan that is least, in this order, in: money (goods, delivery and the price
// put on compromises), compromise points, boxes, and shops used. Under a
// budget, the greatest worth of finished groups comes before all of these.
// Check recomputes a plan from the problem's data alone and shares no code
// with the solver.
//
// The package knows boxes, needs and money and nothing else; it does no I/O
// but reading and writing its own formats through io.Reader and io.Writer,
// and reads no clock: limits come in through the context.
package optimize
