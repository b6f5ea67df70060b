// Package shopping asks and answers what to buy.
//
// [NewQuestion] states needs, stock, offers and the painter's rules as an
// optimize.Problem, and [NewShoppingList] tells the solver's result in the
// painter's words. An [Answer] explains itself by asking changed questions:
// what nearly was bought, what one more figure costs, what a delivery threshold
// did. The solver is handed in as a function ([Solver]).
package shopping
