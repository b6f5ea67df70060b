// Package shelf says what is left in a pot: from readings by eye and scale, the
// weight of the empty pot, what was logged, what dried and what nobody wrote
// down.
//
// A [LevelBook] works out a [Level] ([LevelBook.Levels]); [StockOf] sums levels
// up by paint, and [LevelBook.Stretches] says what went between two readings. Levels are normal
// and held between empty and full. A confidence of 0.9 means the 0.1 quantile
// of a stock; a range is the central 90 %.
package shelf
