// Package estimate says what painting takes.
//
// An [Estimator] sums up what a step takes ([Estimator.Sum], explained by
// [StepSum.Explain]) and what a force needs ([Estimator.Needs]). With what is
// left on the shelf follow [Estimator.Finishable] and [Estimator.RunOuts] (how
// many figures the shelf does), and [Estimator.Sensitivity] and [WeighFirst]
// (what the answer hangs on); [Estimator.LogWork] says what a job drew from
// which pot.
//
// Needs are lognormal (coverage.Estimate). A confidence of 0.9 means the 0.9
// quantile of a need; a range is the central 90 %.
package estimate
