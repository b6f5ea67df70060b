package main

import (
	"halfpot/cmd/halfpot/view"
	"halfpot/inventory/coverage"
)

// newFactorRow is one number of a sum as --explain shows it.
func newFactorRow(f coverage.Quantity) factorRow {
	low, high := f.Shown()
	return factorRow{
		Name:   f.Name,
		Value:  view.Fine(f.Median),
		Unit:   f.Unit,
		Low:    view.Num(low),
		High:   view.Num(high),
		Origin: string(f.Origin),
		Source: f.Source,
	}
}
