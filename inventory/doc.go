// Package inventory is the trade of the figure painter as values and rules:
// paints, pots, the shelf, figures, recipes, forces, shops, what a force
// needs, and what to buy for it.
//
// The line runs: [ForceNeeds] turns a force into needs, [PurchaseProblem] turns needs,
// stock and offers into an optimize.Problem, and [NewShoppingList] turns the
// solver's answer into the painter's words. All of it is functions of values:
// the package reads no clock, no file and no database, and knows no screen.
//
// Things refer to each other by id: a short slug of lower-case letters,
// digits and hyphens (see [ValidID]).
package inventory
