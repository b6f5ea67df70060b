// Package inventory is the trade of the figure painter as values and rules:
// paints, pots, the shelf, figures, recipes, forces, shops, what a force
// needs, and what to buy for it.
//
// The line runs: [ForceNeeds] turns a force into needs, [PurchaseProblem] turns needs,
// stock and offers into an optimize.Problem, and [NewShoppingList] turns the
// solver's answer into the painter's words. All of it is functions of values:
// the package reads no clock, no file and no database, and knows no screen.
//
// # Estimates
//
// An [Estimator] says what a step takes ([Estimator.Sum], explained by
// [StepSum.Explain]), a [LevelBook] what is left in pots ([LevelBook.Levels],
// [LevelBook.ExplainLevel]; [StockOf] sums them up by paint). From both follow
// [Estimator.Finishable] and [Estimator.RunOuts] (how many figures the shelf
// does), and [Estimator.Sensitivity] and [WeighFirst] (what the answer hangs
// on). What two readings of a pot teach is found by [LevelBook.Observations];
// [Learn] turns it, with the painter's pins and resets, into the [Factors] that
// the estimator takes. Nothing of this need be stored: it follows from the
// pots' events.
//
// Needs are lognormal (coverage.Estimate), levels normal and held between
// empty and full. A confidence of 0.9 means the 0.9 quantile of a need and
// the 0.1 quantile of a stock; a range is the central 90 %.
//
// Things refer to each other by id: a short slug of lower-case letters,
// digits and hyphens (see [ValidID]).
package inventory
