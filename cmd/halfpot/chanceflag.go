package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"halfpot/inventory/estimate"
)

// chanceFlag is a chance as painters type it: 0.9, 90 or 90%.
type chanceFlag struct{ value *float64 }

// addConfidence defines --confidence, a chance of something.
func addConfidence(f *pflag.FlagSet, value *float64, of string) {
	*value = estimate.DefaultConfidence
	f.Var(chanceFlag{value}, "confidence", "`CHANCE` "+of+", 0.5 to 0.999 or 50% to 99.9%")
}

// Set reads what was typed.
func (c chanceFlag) Set(text string) error {
	number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	x, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if percent || x >= 50 {
		x /= 100
	}
	if err != nil || !(x >= 0.5 && x <= 0.999) {
		return fmt.Errorf("expected 0.5 (even chance) to 0.999, or 50%% to 99.9%%")
	}
	*c.value = x
	return nil
}

// String is the chance as a number.
func (c chanceFlag) String() string {
	if c.value == nil {
		return ""
	}
	return strconv.FormatFloat(*c.value, 'g', -1, 64)
}

// Type is what pflag calls its kind.
func (chanceFlag) Type() string { return "float64" }
